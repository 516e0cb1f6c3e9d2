using Hillrow.Numerics;

namespace Hillrow.Intake;

/// <summary>Finds captures whose position leaps away from the flight and back.</summary>
internal static class PositionJumps
{
    private const double SpeedRatio = 2.5;

    /// <param name="places">In the order of triggering, local metres.</param>
    /// <param name="seconds">Of each trigger; rising.</param>
    /// <param name="leastMetres">Smaller leaps are not told.</param>
    /// <returns>For each, how far it leaps; 0 for those in place.</returns>
    public static double[] Find(IReadOnlyList<Vector3D> places, IReadOnlyList<double> seconds, double leastMetres) =>
        Find(places, seconds, leastMetres, out _);

    /// <param name="stays">
    /// For each, how far the flight leaps right before it without coming back: the receiver found another place, and one
    /// side of the leap is misplaced; 0 elsewhere.
    /// </param>
    public static double[] Find(
        IReadOnlyList<Vector3D> places,
        IReadOnlyList<double> seconds,
        double leastMetres,
        out double[] stays
    )
    {
        stays = new double[places.Count];
        double[] leaps = new double[places.Count];
        if (places.Count < 6)
        {
            return leaps;
        }

        double[] speeds = new double[places.Count - 1];
        for (int at = 0; at < speeds.Length; at++)
        {
            speeds[at] = (places[at + 1] - places[at]).Length / Math.Max(0.1, seconds[at + 1] - seconds[at]);
        }

        double middle = speeds.Order().ElementAt(speeds.Length / 2);
        List<(int At, double Leap)> breaks = [];
        for (int at = 0; at < speeds.Length; at++)
        {
            double expected = middle * Math.Max(0.1, seconds[at + 1] - seconds[at]);
            double step = (places[at + 1] - places[at]).Length;
            if (speeds[at] > SpeedRatio * middle && step - expected > 0.5 * leastMetres)
            {
                breaks.Add((at + 1, step));
            }
        }

        HashSet<int> paired = [];

        // Between a leap away and the leap back; the stretch must be short and the two ends of the flight must meet over it.
        for (int first = 0; first + 1 < breaks.Count; first++)
        {
            (int from, double leap) = breaks[first];
            (int to, double back) = breaks[first + 1];
            double across = (places[to] - places[from - 1]).Length / Math.Max(0.1, seconds[to] - seconds[from - 1]);
            if (
                to - from <= Math.Max(3, places.Count / 5)
                && across < SpeedRatio * middle
                && Math.Max(leap, back) > leastMetres
            )
            {
                for (int at = from; at < to; at++)
                {
                    leaps[at] = Math.Max(leap, back);
                }

                paired.Add(from);
                paired.Add(to);
                first++;
            }
        }

        double[] pauses = new double[speeds.Length];
        for (int at = 0; at < pauses.Length; at++)
        {
            pauses[at] = seconds[at + 1] - seconds[at];
        }

        double usualPause = pauses.Order().ElementAt(pauses.Length / 2);
        foreach ((int at, double step) in breaks)
        {
            // One fast step among usual ones: a transit has several, and takes its time.
            bool alone = Enumerable
                .Range(at - 3, 5)
                .All(other =>
                    other == at - 1
                    || other < 0
                    || other >= speeds.Length
                    || paired.Contains(other + 1)
                    || speeds[other] <= SpeedRatio * middle
                );
            if (
                !paired.Contains(at)
                && alone
                && pauses[at - 1] <= 3 * usualPause
                && step - (middle * Math.Max(0.1, pauses[at - 1])) > leastMetres
            )
            {
                stays[at] = step;
            }
        }

        return leaps;
    }
}
