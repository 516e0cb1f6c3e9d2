using Hillrow.Earth;

namespace Hillrow.Plants;

/// <summary>
/// Holds what a survey found against what the one before knew: a plant that is not found stands on, its crown a share of
/// the canopy, where canopy covers its place; it is hidden where the survey does not tell; it is gone only where its place
/// is seen without it.
/// </summary>
internal sealed class EarlierPositions
{
    // A found plant within this share of the planting distance is the known one: as identities are decided.
    private const double GateShare = 0.5;

    // Plain satellite positioning, and a bit: as identities are decided.
    private const double LargestShiftMetres = 3;

    // Fewer plants tell nothing of a whole block.
    private const int LeastPlants = 8;

    // Canopy that covers this share of a plant's place is closed there: between crowns that only touch, a third of the
    // places that a plant does not stand on is so covered, but they are no plant's place.
    private const double ClosedShare = 0.6;

    // Canopy that covers this share of all that the block's plants and the places between them take is one.
    private const double ClosedBlockShare = 0.8;

    // Nearer to a found plant than this share of the planting distance, canopy is that plant's.
    private const double OwnShare = 0.6;

    // A plant is told gone only this surely.
    private const double LeastChanceGone = 0.9;

    // Noise of a look: NDVI of bare soils, canopy height over the typical one.
    private const double LeastSpread = 0.05;

    private readonly BlockScene scene;
    private readonly EarlierPlants earlier;
    private readonly PlaceLooks looks;
    private readonly double spacing;
    private readonly (double X, double Y)[] places;
    private readonly double[] gates;
    private readonly int[] mate;

    /// <param name="found">Places found without knowing of the earlier ones.</param>
    /// <param name="spacing">Planting distance.</param>
    public EarlierPositions(
        PlantsInput input,
        BlockScene scene,
        PlantsSettings settings,
        EarlierPlants earlier,
        IReadOnlyList<FoundPlant> found,
        double spacing
    )
    {
        (this.scene, this.earlier, this.spacing) = (scene, earlier, spacing);
        looks = new PlaceLooks(input, scene, settings);
        GridPoint[] seen = [.. found.Select(plant => scene.PlaceOf(plant.X, plant.Y))];
        GridPoint[] known = [.. earlier.Plants.Select(plant => plant.Place)];
        BlockShift shift = BlockShift.Of(known, seen, LargestShiftMetres).Trusted(known.Length);
        places =
        [
            .. known.Select(place =>
                (
                    place.EastingMetres - shift.EastMetres - scene.Grid.WestMetres,
                    scene.Grid.NorthMetres - place.NorthingMetres + shift.NorthMetres
                )
            ),
        ];
        gates =
        [
            .. earlier.Plants.Select(plant =>
                PlantMatching.Gate(plant.Row, plant.PlaceSigmaMetres, GateShare * spacing)
            ),
        ];
        mate = KnownPlaces.Mates(places, gates, [.. found.Select(plant => (plant.X, plant.Y))]);
    }

    /// <summary>Known plants that were found again.</summary>
    public int FoundAgain => mate.Count(at => at >= 0);

    /// <summary>
    /// Without heights, and where canopy covers nearly all of the block, nothing found on this map alone is a plant: crowns
    /// have no edges any more.
    /// </summary>
    public bool IsClosed
    {
        get
        {
            if (scene.Height is not null || earlier.Plants.Count < LeastPlants)
            {
                return false;
            }

            double radius = 0.5 * (double.IsFinite(earlier.RowSpacingMetres) ? earlier.RowSpacingMetres : spacing);
            return places
                    .Where(IsInside)
                    .Select(place => looks.At(place.X, place.Y, radius).Canopy)
                    .DefaultIfEmpty(0)
                    .Average() >= ClosedBlockShare;
        }
    }

    /// <summary>Adds tops too weak to be plants by themselves where a plant is known that was not found.</summary>
    /// <returns>How many.</returns>
    public int TakeWeak(BlockPositions positions, IReadOnlyList<ScatteredTop> tops)
    {
        FoundPlant[] weak =
        [
            .. tops.Select(top => new FoundPlant(
                0,
                0,
                top.Place.EastingMetres - scene.Grid.WestMetres,
                scene.Grid.NorthMetres - top.Place.NorthingMetres,
                PlantQuality.OffPattern
            )),
        ];
        int[] missed = [.. Enumerable.Range(0, places.Length).Where(at => mate[at] < 0)];
        int[] near = KnownPlaces.Mates(
            [.. missed.Select(at => places[at])],
            [.. missed.Select(at => gates[at])],
            [.. weak.Select(plant => (plant.X, plant.Y))]
        );
        int added = 0;
        foreach (int at in near.Where(at => at >= 0))
        {
            positions.Plants.Add(weak[at] with { Slot = positions.Plants.Count + 1 });
            added++;
        }

        return added;
    }

    /// <summary>Adds known plants that stand on to the plants, and those that cannot be told to the hidden places.</summary>
    /// <param name="inRows">False: single trees, whose canopy may be a lawn; none is kept by canopy alone.</param>
    public void Keep(BlockPositions positions, bool inRows)
    {
        PlaceLook[] seen =
        [
            .. Enumerable.Range(0, places.Length).Select(at => looks.At(places[at].X, places[at].Y, Radius(at))),
        ];
        StandingOdds? odds = StandingOdds.Of(
            [.. Looks(seen, wasFound: true)],
            [.. Looks(seen, wasFound: false)],
            BareLooks(),
            LeastSpread
        );
        Dictionary<int, int> rows = RowsNow(positions.Plants);
        PlaceIndex others = new(
            [.. positions.Plants.Select(plant => scene.PlaceOf(plant.X, plant.Y))],
            Math.Max(0.1, spacing)
        );
        PlaceIndex gaps = new([.. positions.Gaps.Select(gap => gap.Place)], Math.Max(0.1, GateShare * spacing));
        List<int> near = [];
        HashSet<EmptyPosition> filled = [];
        for (int at = 0; at < places.Length; at++)
        {
            if (mate[at] >= 0)
            {
                FoundPlant again = positions.Plants[mate[at]];
                positions.FoundAgain.Add(
                    new KnownPlace(
                        again.Row,
                        again.Slot,
                        places[at].X,
                        places[at].Y,
                        gates[at],
                        earlier.Plants[at].PlaceSigmaMetres
                    )
                );
                continue;
            }

            if (!IsInside(places[at]))
            {
                continue;
            }

            GridPoint place = scene.PlaceOf(places[at].X, places[at].Y);
            gaps.Within(place, GateShare * spacing, near);
            EmptyPosition? gap = near.Select(index => positions.Gaps[index])
                .OrderBy(empty => ScatteredTops.Distance(empty.Place, place))
                .FirstOrDefault();
            EarlierPlant known = earlier.Plants[at];
            int row = gap?.Row ?? rows.GetValueOrDefault(known.Row, known.Row);
            int slot = gap?.PositionInRow ?? known.PositionInRow;
            string verdict = Verdict(seen[at], odds, gap is not null, inRows);
            others.Within(place, OwnShare * spacing, near);
            if (verdict == Stands && near.Count > 0)
            {
                verdict = "within another plant's crown";
            }

            if (verdict == Gone)
            {
                continue;
            }

            if (gap is not null)
            {
                filled.Add(gap);
            }

            if (verdict == Stands)
            {
                positions.Plants.Add(new FoundPlant(row, slot, places[at].X, places[at].Y, PlantQuality.Inseparable));
            }
            else
            {
                positions.Hidden.Add(
                    new EmptyPosition(row, slot, place, known.PlaceSigmaMetres, verdict) { IsKnownPlant = true }
                );
            }
        }

        positions.Gaps.RemoveAll(filled.Contains);
    }

    private const string Gone = "";
    private const string Stands = "stands";

    private string Verdict(PlaceLook look, StandingOdds? odds, bool isGap, bool inRows)
    {
        if (look.Hidden.Length > 0)
        {
            return look.Hidden;
        }

        if (scene.Height is not null && isGap)
        {
            // Heights show the place between its neighbours' crowns: the row's own search has seen that it is empty.
            return Gone;
        }

        if (look.Canopy >= ClosedShare)
        {
            return inRows ? Stands : "green, but no crown stands out";
        }

        return odds is { } told && told.ChanceGone(look.Look) >= LeastChanceGone
            ? Gone
            : "not found, and not seen bare";
    }

    private IEnumerable<double> Looks(PlaceLook[] seen, bool wasFound)
    {
        for (int at = 0; at < seen.Length; at++)
        {
            if (
                mate[at] >= 0 == wasFound
                && IsInside(places[at])
                && seen[at].Hidden.Length == 0
                && double.IsFinite(seen[at].Look)
            )
            {
                yield return seen[at].Look;
            }
        }
    }

    // Circles on a grid over the block that hold no canopy at all.
    private List<double> BareLooks()
    {
        List<double> bare = [];
        double step = Math.Max(0.5 * spacing, Math.Sqrt(scene.Window.CellCount / 2000.0) * scene.Grid.CellSizeMetres);
        double radius = 0.2 * spacing;
        for (double y = step / 2; y < scene.Window.Rows * scene.Grid.CellSizeMetres; y += step)
        {
            for (double x = step / 2; x < scene.Window.Columns * scene.Grid.CellSizeMetres; x += step)
            {
                if (
                    IsInside((x, y))
                    && looks.At(x, y, radius) is { Canopy: 0, Hidden: "" } look
                    && double.IsFinite(look.Look)
                )
                {
                    bare.Add(look.Look);
                }
            }
        }

        return bare;
    }

    // The inner part of the crown as it was; crowns grow.
    private double Radius(int at)
    {
        double crown = Math.Sqrt(earlier.Plants[at].CrownAreaSquareMetres / Math.PI);
        return Math.Clamp(double.IsFinite(crown) ? 0.6 * crown : 0, 0.15 * spacing, 0.3 * spacing);
    }

    private bool IsInside((double X, double Y) place)
    {
        int row = (int)Math.Floor(place.Y / scene.Grid.CellSizeMetres);
        int column = (int)Math.Floor(place.X / scene.Grid.CellSizeMetres);
        return row >= 0
            && column >= 0
            && row < scene.Window.Rows
            && column < scene.Window.Columns
            && scene.Inside[(row * scene.Window.Columns) + column] != 0;
    }

    /// <summary>Row of this survey that most plants of an earlier row stand in now.</summary>
    private Dictionary<int, int> RowsNow(List<FoundPlant> found) =>
        Enumerable
            .Range(0, mate.Length)
            .Where(at => mate[at] >= 0 && mate[at] < found.Count)
            .GroupBy(at => earlier.Plants[at].Row)
            .ToDictionary(
                group => group.Key,
                group =>
                    group
                        .GroupBy(at => found[mate[at]].Row)
                        .OrderByDescending(same => same.Count())
                        .ThenBy(same => same.Key)
                        .First()
                        .Key
            );
}
