using System.Globalization;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Intake;

/// <summary>Finds where two neighbouring flight lines lie much farther apart than the others, over a block.</summary>
internal static class LineGaps
{
    private const int LeastCaptures = 4;
    private const double SameHeadingDegrees = 20;
    private const double WideRatio = 1.6;

    /// <summary>One line: where it lies across the flight direction, and from where to where along it.</summary>
    private sealed record Line(double Across, double From, double To);

    /// <param name="places">Of the captures that map, in the order of triggering, local metres.</param>
    /// <param name="headingsDegrees">Clockwise from north.</param>
    /// <param name="grid">Of the check.</param>
    /// <param name="blockOf">By cell; −1 for none.</param>
    /// <returns>One line each.</returns>
    public static IReadOnlyList<string> Find(
        IReadOnlyList<Vector3D> places,
        IReadOnlyList<double> headingsDegrees,
        LocalGrid grid,
        int[] blockOf
    )
    {
        List<string> told = [];
        List<IReadOnlyList<Line>> sets = Directions(places, headingsDegrees, out List<double> axes);
        for (int set = 0; set < sets.Count; set++)
        {
            IReadOnlyList<Line> lines = sets[set];
            double[] gaps = [.. lines.Zip(lines.Skip(1)).Select(pair => pair.Second.Across - pair.First.Across)];
            if (gaps.Length < 2)
            {
                continue;
            }

            double usual = gaps.Order().ElementAt((gaps.Length - 1) / 2);
            for (int at = 0; at < gaps.Length; at++)
            {
                if (gaps[at] > WideRatio * usual && OverBlock(lines[at], lines[at + 1], axes[set], grid, blockOf))
                {
                    told.Add(
                        string.Create(
                            CultureInfo.InvariantCulture,
                            $"two lines lie {gaps[at]:0} m apart, the others {usual:0} m: a line may be missing between them."
                        )
                    );
                }
            }
        }

        return told;
    }

    private static List<IReadOnlyList<Line>> Directions(
        IReadOnlyList<Vector3D> places,
        IReadOnlyList<double> headings,
        out List<double> axes
    )
    {
        axes = [];
        List<(double Axis, List<List<Vector3D>> Runs)> sets = [];
        List<Vector3D> run = [];
        double runHeading = 0;
        void Close()
        {
            if (run.Count >= LeastCaptures)
            {
                double axis = ((runHeading % 180) + 180) % 180;
                int at = sets.FindIndex(set => Apart(set.Axis, axis, 180) < SameHeadingDegrees);
                if (at < 0)
                {
                    sets.Add((axis, []));
                    at = sets.Count - 1;
                }

                sets[at].Runs.Add(run);
            }

            run = [];
        }

        for (int at = 0; at < places.Count; at++)
        {
            // A turn, or a move sideways or back to the start of a line that is flown in the same direction.
            if (
                run.Count > 0
                && (
                    Apart(runHeading, headings[at], 360) > SameHeadingDegrees
                    || IsSideways(places[at] - run[^1], runHeading)
                )
            )
            {
                Close();
            }

            runHeading = run.Count == 0 ? headings[at] : runHeading;
            run.Add(places[at]);
        }

        Close();
        List<IReadOnlyList<Line>> all = [];
        foreach ((double axis, List<List<Vector3D>> runs) in sets)
        {
            (double east, double north) = (Math.Sin(axis * Math.PI / 180), Math.Cos(axis * Math.PI / 180));
            Line[] sorted =
            [
                .. runs.Select(places => new Line(
                        places.Average(place => (place.X * north) - (place.Y * east)),
                        places.Min(place => (place.X * east) + (place.Y * north)),
                        places.Max(place => (place.X * east) + (place.Y * north))
                    ))
                    .OrderBy(line => line.Across),
            ];
            // Parts of one line, flown on two batteries, are one.
            double usual =
                sorted.Length < 2
                    ? 0
                    : sorted
                        .Zip(sorted.Skip(1))
                        .Select(pair => pair.Second.Across - pair.First.Across)
                        .Order()
                        .ElementAt((sorted.Length - 1) / 2);
            List<Line> joined = [];
            foreach (Line line in sorted)
            {
                if (joined.Count > 0 && line.Across - joined[^1].Across < 0.35 * usual)
                {
                    joined[^1] = joined[^1] with
                    {
                        From = Math.Min(joined[^1].From, line.From),
                        To = Math.Max(joined[^1].To, line.To),
                    };
                }
                else
                {
                    joined.Add(line);
                }
            }

            axes.Add(axis);
            all.Add(joined);
        }

        return all;
    }

    private static bool IsSideways(Vector3D step, double headingDegrees)
    {
        (double east, double north) = (
            Math.Sin(headingDegrees * Math.PI / 180),
            Math.Cos(headingDegrees * Math.PI / 180)
        );
        return Math.Abs((step.X * north) - (step.Y * east)) > (step.X * east) + (step.Y * north);
    }

    /// <summary>Whether ground of a block lies midway between two lines, where both run.</summary>
    private static bool OverBlock(Line one, Line other, double axis, LocalGrid grid, int[] blockOf)
    {
        (double east, double north) = (Math.Sin(axis * Math.PI / 180), Math.Cos(axis * Math.PI / 180));
        double across = (one.Across + other.Across) / 2;
        double from = Math.Max(one.From, other.From);
        double to = Math.Min(one.To, other.To);
        for (double along = from; along <= to; along += grid.CellMetres)
        {
            double x = (along * east) + (across * north);
            double y = (along * north) - (across * east);
            int column = (int)Math.Floor((x - grid.WestMetres) / grid.CellMetres);
            int row = (int)Math.Floor((grid.NorthMetres - y) / grid.CellMetres);
            if (
                column >= 0
                && row >= 0
                && column < grid.Columns
                && row < grid.Rows
                && blockOf[(row * grid.Columns) + column] >= 0
            )
            {
                return true;
            }
        }

        return false;
    }

    private static double Apart(double one, double other, double turn)
    {
        double off = Math.Abs(one - other) % turn;
        return Math.Min(off, turn - off);
    }
}
