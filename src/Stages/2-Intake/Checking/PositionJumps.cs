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
    public static double[] Find(IReadOnlyList<Vector3D> places, IReadOnlyList<double> seconds, double leastMetres)
    {
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

                first++;
            }
        }

        return leaps;
    }
}
