using Hillrow.Earth;

namespace Hillrow.Plants;

/// <summary>Plants known from before stay where they are known to stand, whatever share of a closed canopy they are given.</summary>
internal static class KnownPlaces
{
    // The shift by which identities are decided may differ a little from the one here.
    private const double SureShare = 0.9;

    /// <param name="positions">As measured; known plants that got no canopy of their own are added to its hidden places.</param>
    /// <param name="measured">A record for every position that got canopy, by index from 1.</param>
    public static IReadOnlyList<PlantRecord> Hold(
        BlockScene scene,
        BlockPositions positions,
        IReadOnlyList<PlantRecord> measured
    )
    {
        HashSet<int> got = [.. measured.Select(plant => plant.Index)];
        for (int at = 0; at < positions.Plants.Count; at++)
        {
            FoundPlant plant = positions.Plants[at];
            if (IsKnown(plant) && !got.Contains(at + 1))
            {
                positions.Hidden.Add(
                    new EmptyPosition(
                        plant.Row,
                        plant.Slot,
                        scene.PlaceOf(plant.X, plant.Y),
                        0.3,
                        "covered by other crowns"
                    )
                    {
                        IsKnownPlant = true,
                    }
                );
            }
        }

        PlantRecord[] held =
        [
            .. measured.Select(record =>
                IsKnown(positions.Plants[record.Index - 1])
                    ? record with
                    {
                        Place = scene.PlaceOf(
                            positions.Plants[record.Index - 1].X,
                            positions.Plants[record.Index - 1].Y
                        ),
                    }
                    : record
            ),
        ];
        HideUnmet(scene, positions, held);
        return held;
    }

    // Measuring moves a plant to its crown's middle, and some crowns vanish: a known plant that had one beside it is then
    // neither found nor seen to be gone.
    private static void HideUnmet(BlockScene scene, BlockPositions positions, PlantRecord[] plants)
    {
        int[] mate = Mates(
            [.. positions.FoundAgain.Select(place => (place.X, place.Y))],
            [.. positions.FoundAgain.Select(place => SureShare * place.GateMetres)],
            [
                .. plants.Select(plant =>
                    (
                        plant.Place.EastingMetres - scene.Grid.WestMetres,
                        scene.Grid.NorthMetres - plant.Place.NorthingMetres
                    )
                ),
            ]
        );
        for (int at = 0; at < mate.Length; at++)
        {
            if (mate[at] < 0)
            {
                KnownPlace place = positions.FoundAgain[at];
                positions.Hidden.Add(
                    new EmptyPosition(
                        place.Row,
                        place.Slot,
                        scene.PlaceOf(place.X, place.Y),
                        place.SigmaMetres,
                        "only another plant's crown is seen near it"
                    )
                    {
                        IsKnownPlant = true,
                    }
                );
            }
        }
    }

    private static bool IsKnown(FoundPlant plant) => plant.Quality.HasFlag(PlantQuality.Inseparable);

    /// <summary>Nearest first, each once.</summary>
    public static int[] Mates((double X, double Y)[] places, double[] gates, (double X, double Y)[] found)
    {
        int[] mate = new int[places.Length];
        Array.Fill(mate, -1);
        PlaceIndex index = new(
            [.. found.Select(plant => new GridPoint(plant.X, plant.Y))],
            Math.Max(0.1, gates.DefaultIfEmpty(1).Max())
        );
        List<(double Off, int Known, int Found)> pairs = [];
        List<int> near = [];
        for (int at = 0; at < places.Length; at++)
        {
            index.Within(new GridPoint(places[at].X, places[at].Y), gates[at], near);
            foreach (int other in near)
            {
                double x = found[other].X - places[at].X;
                double y = found[other].Y - places[at].Y;
                pairs.Add(((x * x) + (y * y), at, other));
            }
        }

        pairs.Sort();
        HashSet<int> taken = [];
        foreach ((_, int known, int other) in pairs)
        {
            if (mate[known] < 0 && taken.Add(other))
            {
                mate[known] = other;
            }
        }

        return mate;
    }
}
