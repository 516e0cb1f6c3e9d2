using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Numerics.Statistics;

namespace Hillrow.Plants;

/// <summary>Finds and measures the plants of a block without rows: single trees, a garden, a stand grown wild.</summary>
internal sealed class ScatteredFinder(PlantsInput input, PlantBlock block, PlantsSettings settings, BlockScene scene)
{
    /// <summary>An even ring of directions would give about this: then no direction stands out at all.</summary>
    private const double NoDirection = 0.1;

    /// <summary>Pixels that a row spacing must span for rows to show: two for the row, two for what lies between.</summary>
    private const double PixelsOfSpacing = 4;

    /// <summary>How far a top lies off the stem, by pixel and by the crown's width (own assumption; no data here tell stems).</summary>
    private const double TopSigmaPixels = 1.2;

    private const double TopSigmaShare = 0.15;

    /// <summary>Crowns are followed this far beyond the radius that their top told.</summary>
    private const double ReachShare = 1.3;

    /// <returns>Why the block is looked at plant by plant; null: it has rows, or the grower says so.</returns>
    public static string? Reason(PlantBlock block, PlantsSettings settings, double cellMetres, RowDirection direction)
    {
        if (block.RowSpacingMetres is not null)
        {
            return null;
        }

        if (cellMetres > settings.LeastRowSpacingMetres / PixelsOfSpacing)
        {
            return $"pixels of {cellMetres:F2} m do not show rows {settings.LeastRowSpacingMetres:F1} m apart";
        }

        return direction.Distinctness < NoDirection
            ? $"no direction of rows stands out ({direction.Distinctness:F2} of 1)"
            : null;
    }

    public BlockPlants Find(string reason, CancellationToken cancel)
    {
        List<string> doubts =
        [
            $"Block {block.Name}: looked at plant by plant, without rows or gaps, as {reason}. State the row spacing if there are rows.",
        ];
        if (scene.Height is null)
        {
            doubts.Add($"Block {block.Name}: no canopy height; weeds may pass as plants. Give surface and ground.");
        }

        ScatteredTop[] tops =
        [
            .. Tops(settings.Scattered)
                .Where(top => IsInside(top.Place))
                .OrderByDescending(top => top.Place.NorthingMetres)
                .ThenBy(top => top.Place.EastingMetres),
        ];
        if (tops.Length == 0)
        {
            return new BlockPlants(
                block.Name,
                StageOutcome.Refused($"Block {block.Name}: no crown stands out. Check its boundary and the map.")
            );
        }

        double typical = 2 * Quantiles.Median([.. tops.Select(top => top.RadiusMetres)]);
        double widest = ReachShare * tops.Max(top => top.RadiusMetres);
        BlockPositions positions = new();
        positions.Plants.AddRange(
            tops.Select(
                (top, at) =>
                    new FoundPlant(
                        0,
                        at + 1,
                        top.Place.EastingMetres - scene.Grid.WestMetres,
                        scene.Grid.NorthMetres - top.Place.NorthingMetres,
                        PlantQuality.OffPattern
                    )
            )
        );
        LabelTrial? learning = Learn(positions, tops, typical);
        if (block.Earlier is { } earlier)
        {
            Hold(positions, earlier, typical);
        }

        int[] crowns = new int[scene.Inside.Length];
        // The reach of crowns is given to the tiles as the row spacing that stands for it there.
        CrownTiles tiles = new(input, settings, scene, typical, widest / 0.62);
        IReadOnlyList<PlantRecord> plants = KnownPlaces.Hold(
            scene,
            positions,
            tiles.Measure(positions.Plants, crowns, cancel)
        );
        plants = [.. plants.Select(WithPlaceOfTop)];
        return new BlockPlants(block.Name, StageOutcome.Degraded([.. doubts]))
        {
            RowSpacingMetres = double.NaN,
            PlantSpacingMetres = typical,
            Learning = learning,
            Plants = plants,
            Hidden = positions.Hidden,
            Crowns = new Raster<int>(RasterLabel.OfOneBand(scene.Grid, "plant"), [crowns]),
        };
    }

    // Of a crown of few pixels the middle is where the light falls on that day.
    private PlantRecord WithPlaceOfTop(PlantRecord plant)
    {
        double pixels = TopSigmaPixels * scene.Grid.CellSizeMetres;
        double crown = TopSigmaShare * Math.Sqrt(4 * plant.CrownAreaSquareMetres.Value / Math.PI);
        double own = plant.PlaceSigmaMetres;
        return plant with { PlaceSigmaMetres = Math.Sqrt((own * own) + (pixels * pixels) + (crown * crown)) };
    }

    // Where a plant is known, a weaker top is one.
    private void Hold(BlockPositions positions, EarlierPlants earlier, double typical)
    {
        EarlierPositions known = new(input, scene, settings, earlier, positions.Plants, typical);
        ScatteredTop[] weak = [.. Tops(Weaker()).Where(top => IsInside(top.Place))];
        if (known.TakeWeak(positions, weak) > 0)
        {
            known = new EarlierPositions(input, scene, settings, earlier, positions.Plants, typical);
        }

        known.Keep(positions, inRows: false);
    }

    private ScatteredSettings Weaker() =>
        settings.Scattered with
        {
            LeastAnswer = settings.Scattered.LeastAnswer / 2,
            LeastHeightAnswerMetres = settings.Scattered.LeastHeightAnswerMetres / 2,
        };

    // Weaker tops are places that the search left empty: labels may tell that plants stand there.
    private LabelTrial? Learn(BlockPositions positions, ScatteredTop[] tops, double typical)
    {
        if (input.Labels.Count == 0)
        {
            return null;
        }

        PlaceIndex strong = new([.. tops.Select(top => top.Place)], typical);
        List<int> near = [];
        foreach (ScatteredTop top in Tops(Weaker()).Where(top => IsInside(top.Place)))
        {
            strong.Within(top.Place, typical / 2, near);
            if (near.Count == 0)
            {
                positions.Gaps.Add(new EmptyPosition(0, 0, top.Place, 0, ""));
            }
        }

        return LabelledPositions.Apply(input, block, scene, positions, typical);
    }

    private IReadOnlyList<ScatteredTop> Tops(ScatteredSettings rules)
    {
        RasterWindow whole = new(0, 0, scene.Window.Rows, scene.Window.Columns);
        return input.CrownModel is { Trial.Kept: true } model ? model.Find(input.Reflectance, scene.Window)
            : scene.Height is { } height
                ? ScatteredTops.Of(height, scene.Grid, whole, rules, rules.LeastHeightAnswerMetres)
            : ScatteredTops.Find(input.Reflectance, scene.Window, rules);
    }

    private bool IsInside(GridPoint place)
    {
        int row = (int)Math.Floor(scene.Grid.RowOf(place.NorthingMetres));
        int column = (int)Math.Floor(scene.Grid.ColumnOf(place.EastingMetres));
        return row >= 0
            && column >= 0
            && row < scene.Window.Rows
            && column < scene.Window.Columns
            && scene.Inside[(row * scene.Window.Columns) + column] != 0;
    }
}
