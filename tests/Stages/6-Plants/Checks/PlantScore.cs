using Hillrow.Earth;
using Hillrow.Numerics.Assignment;
using Hillrow.Plants;

namespace Hillrow.Checks;

/// <summary>Found plants and gaps against the truth of a modelled block.</summary>
public sealed record PlantScore(
    double F1,
    double CountErrorShare,
    double GapRecall,
    double InnerGapRecall,
    double GapPrecision,
    double AreaBiasShare,
    double AreaRSquared,
    double HeightBiasMetres,
    double HeightRmseMetres,
    double PlaceCoverage90,
    double AreaCoverage90,
    double HeightCoverage90,
    double PlaceRmseMetres
)
{
    public static PlantScore Of(ModelledBlock block, BlockPlants found)
    {
        double reach = block.Planting.PlantSpacing / 2;
        GridPoint[] truth = [.. block.Plants.Select(Place)];
        GridPoint[] seen = [.. found.Plants.Select(plant => plant.Place)];
        int[] pair = Match(truth, seen, reach);
        int hits = pair.Count(at => at >= 0);
        GridPoint[] holes = [.. block.Gaps.Select(Place)];
        GridPoint[] foundHoles = [.. found.Gaps.Select(gap => gap.Place)];
        int holeHits = Match(holes, foundHoles, reach).Count(at => at >= 0);
        GridPoint[] inner = [.. block.InnerGaps.Select(Place)];
        int innerHits = Match(inner, foundHoles, reach).Count(at => at >= 0);
        List<double> areaTrue = [];
        List<double> areaFound = [];
        List<double> heightOff = [];
        int placeIn = 0;
        int areaIn = 0;
        int heightIn = 0;
        double placeSquares = 0;
        for (int at = 0; at < truth.Length; at++)
        {
            if (pair[at] < 0)
            {
                continue;
            }

            PlantRecord plant = found.Plants[pair[at]];
            areaTrue.Add(block.DrawnAreas[at]);
            areaFound.Add(plant.CrownAreaSquareMetres.Value);
            double east = plant.Place.EastingMetres - truth[at].EastingMetres;
            double north = plant.Place.NorthingMetres - truth[at].NorthingMetres;
            placeSquares += (east * east) + (north * north);

            // 90 % of a round two-dimensional normal lies within 2.146 sigma.
            placeIn += Math.Sqrt((east * east) + (north * north)) <= 2.146 * plant.PlaceSigmaMetres ? 1 : 0;
            areaIn += Math.Abs(areaFound[^1] - areaTrue[^1]) <= 1.645 * plant.CrownAreaSquareMetres.Sigma ? 1 : 0;
            if (double.IsFinite(plant.TopHeightMetres.Value))
            {
                heightOff.Add(plant.TopHeightMetres.Value - block.Plants[at].HeightMetres);
                heightIn += Math.Abs(heightOff[^1]) <= 1.645 * plant.TopHeightMetres.Sigma ? 1 : 0;
            }
        }

        double mean = areaTrue.Average();
        double total = areaTrue.Sum(value => (value - mean) * (value - mean));
        double rest = areaTrue.Zip(areaFound, (a, b) => (a - b) * (a - b)).Sum();
        return new PlantScore(
            2.0 * hits / (truth.Length + seen.Length),
            Math.Abs(seen.Length - truth.Length) / (double)truth.Length,
            holes.Length == 0 ? 1 : (double)holeHits / holes.Length,
            inner.Length == 0 ? 1 : (double)innerHits / inner.Length,
            foundHoles.Length == 0 ? 1 : (double)holeHits / foundHoles.Length,
            (areaFound.Sum() / areaTrue.Sum()) - 1,
            1 - (rest / total),
            heightOff.Count == 0 ? double.NaN : heightOff.Average(),
            heightOff.Count == 0 ? double.NaN : Math.Sqrt(heightOff.Average(off => off * off)),
            (double)placeIn / hits,
            (double)areaIn / hits,
            heightOff.Count == 0 ? double.NaN : (double)heightIn / heightOff.Count,
            Math.Sqrt(placeSquares / hits / 2)
        );
    }

    public static GridPoint Place(ModelledPlant plant) =>
        new(ModelledBlock.West + plant.X, ModelledBlock.South + plant.Y);

    /// <summary>Optimal one-to-one pairs within a distance; index of the second for each of the first, or -1.</summary>
    public static int[] Match(IReadOnlyList<GridPoint> first, IReadOnlyList<GridPoint> second, double reach)
    {
        List<int> starts = [0];
        List<int> columns = [];
        List<double> costs = [];
        foreach (GridPoint a in first)
        {
            for (int at = 0; at < second.Count; at++)
            {
                double east = a.EastingMetres - second[at].EastingMetres;
                double north = a.NorthingMetres - second[at].NorthingMetres;
                double square = (east * east) + (north * north);
                if (square <= reach * reach)
                {
                    columns.Add(at);
                    costs.Add(square);
                }
            }

            starts.Add(columns.Count);
        }

        int[] pair = new int[first.Count];
        SparseAssignment.Solve(second.Count, [.. starts], [.. columns], [.. costs], (4 * reach * reach) + 1, pair);
        return pair;
    }
}
