using Hillrow.Sight;

namespace Hillrow.Planning;

/// <summary>A place where a target should lie, to be measured on the ground.</summary>
/// <param name="Name">C1, C2 … for ground control; K1, K2 … for checkpoints.</param>
/// <param name="Place">In plan.</param>
/// <param name="UpMetres">Nominal ground.</param>
/// <param name="IsCheckpoint">Kept out of the adjustment, to judge it.</param>
/// <param name="Views">Captures planned to see it.</param>
public sealed record ProposedMark(string Name, PlanPoint Place, double UpMetres, bool IsCheckpoint, int Views);

/// <summary>Spreads ground control and checkpoints over the blocks, and over their heights.</summary>
/// <remarks>
/// Each new mark goes where the nearest one is farthest (farthest-point sampling, Gonzalez 1985, DOI
/// 10.1016/0304-3975(85)90224-5); height counts threefold, because errors bend along the slope. Every third mark is a
/// checkpoint. Places are taken on tracks when tracks are given.
/// </remarks>
internal static class ProposedMarks
{
    private const double HeightWeight = 3;

    /// <summary>Five carry a field of any size (corners and middle, common practice), one more for each 8 ha.</summary>
    private const double HectaresPerMark = 8;

    private const int MostControl = 20;

    /// <summary>Fewer than five errors tell no standard deviation.</summary>
    private const int FewestCheckpoints = 5;

    public static IReadOnlyList<ProposedMark> Of(
        PlanningInput input,
        PlanningSettings settings,
        PlannedCoverage coverage
    )
    {
        double hectares = input.Blocks.Sum(block => block.AreaSquareMetres) / 10_000;
        int control = Math.Min(MostControl, 5 + (int)(hectares / HectaresPerMark));
        int checks = Math.Max(FewestCheckpoints, control / 2);
        List<(PlanPoint Place, double Up, int Views)> candidates = Candidates(input, settings, coverage);
        List<ProposedMark> marks = [];
        if (candidates.Count == 0)
        {
            return marks;
        }

        double east = candidates.Average(one => one.Place.EastMetres);
        double north = candidates.Average(one => one.Place.NorthMetres);
        double up = candidates.Average(one => one.Up);
        double[] nearest = new double[candidates.Count];
        Array.Fill(nearest, double.PositiveInfinity);
        // The first lies farthest from the middle.
        int next = Enumerable
            .Range(0, candidates.Count)
            .MaxBy(at => Distance(candidates[at].Place, candidates[at].Up, new PlanPoint(east, north), up));
        (int named, int checkedOff) = (0, 0);
        while (marks.Count < Math.Min(control + checks, candidates.Count))
        {
            (PlanPoint place, double height, int views) = candidates[next];
            // The outermost marks hold the map: the first four are control.
            bool check = marks.Count >= 4 && (named >= control || (checkedOff < checks && marks.Count % 2 == 0));
            string name = check ? $"K{++checkedOff}" : $"C{++named}";
            marks.Add(new ProposedMark(name, place, height, check, views));
            for (int at = 0; at < candidates.Count; at++)
            {
                nearest[at] = Math.Min(nearest[at], Distance(candidates[at].Place, candidates[at].Up, place, height));
            }

            next = Enumerable.Range(0, candidates.Count).MaxBy(at => nearest[at]);
            if (nearest[next] <= 0)
            {
                break;
            }
        }

        return marks;
    }

    private static double Distance(PlanPoint a, double upA, PlanPoint b, double upB)
    {
        double plan = a.DistanceTo(b);
        double height = HeightWeight * (upA - upB);
        return (plan * plan) + (height * height);
    }

    private static List<(PlanPoint Place, double Up, int Views)> Candidates(
        PlanningInput input,
        PlanningSettings settings,
        PlannedCoverage coverage
    )
    {
        LocalGrid grid = coverage.Map.Grid;
        int ViewsAt(PlanPoint place)
        {
            int column = (int)Math.Floor((place.EastMetres - grid.WestMetres) / grid.CellMetres);
            int row = (int)Math.Floor((grid.NorthMetres - place.NorthMetres) / grid.CellMetres);
            return column >= 0 && row >= 0 && column < grid.Columns && row < grid.Rows
                ? coverage.Map.Counts[(row * grid.Columns) + column]
                : 0;
        }

        List<PlanPoint> places = [];
        foreach (IReadOnlyList<PlanPoint> track in input.Tracks)
        {
            for (int at = 1; at < track.Count; at++)
            {
                int steps = Math.Max(1, (int)(track[at - 1].DistanceTo(track[at]) / 10));
                places.AddRange(
                    Enumerable
                        .Range(0, steps + 1)
                        .Select(step => track[at - 1].Between(track[at], (double)step / steps))
                );
            }
        }

        if (places.Count < 10)
        {
            int every = Math.Max(1, (int)Math.Sqrt(grid.CellCount / 3000.0));
            for (int row = 0; row < grid.Rows; row += every)
            {
                for (int column = 0; column < grid.Columns; column += every)
                {
                    if (coverage.InBlock[(row * grid.Columns) + column] != 0)
                    {
                        places.Add(new PlanPoint(grid.EastOf(column), grid.NorthOf(row)));
                    }
                }
            }
        }

        return
        [
            .. places
                .Select(place => (place, input.Terrain.HeightAt(place.EastMetres, place.NorthMetres), ViewsAt(place)))
                .Where(one => double.IsFinite(one.Item2) && one.Item3 >= Math.Max(3, settings.Views / 2)),
        ];
    }
}
