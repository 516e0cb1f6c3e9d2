namespace Hillrow.Planning;

/// <summary>
/// Heights along a route at equal steps: as near to the wanted heights as the aircraft can climb and sink, and never
/// below the floor, also between the steps' ends.
/// </summary>
/// <remarks>
/// The wanted heights, raised to the floor's greatest value within half a window, get the smallest majorant that keeps
/// the climb and descent limits (one sweep forward, one back); a running mean over the window then bounds the
/// vertical acceleration. A mean of values that all lie above the floor here lies above it too, and a mean of slopes
/// within the limits is within them, so nothing is lost. Our own arrangement.
/// </remarks>
internal static class HeightProfile
{
    /// <summary>Steps on each side of the running mean that keep the vertical acceleration.</summary>
    public static int HalfWindow(AircraftProfile aircraft, double stepMetres)
    {
        double fastest = Math.Max(aircraft.SurveySpeedMetresPerSecond, aircraft.TransitSpeedMetresPerSecond);
        double window = 2 * ClimbAndDescent(aircraft) * fastest / aircraft.VerticalAccelerationMetresPerSecondSquared;
        return Math.Max(1, (int)Math.Ceiling(((window / stepMetres) - 1) / 2));
    }

    /// <summary>What serves both ways: a line may be flown from either end, and its heights shall not depend on that.</summary>
    public static double ClimbAndDescent(AircraftProfile aircraft) =>
        Math.Min(aircraft.ClimbMetresPerSecond, aircraft.DescentMetresPerSecond);

    /// <param name="wanted">Heights to follow.</param>
    /// <param name="floor">Heights not to go below.</param>
    /// <param name="speeds">Over ground, metres a second, of the step that begins here.</param>
    /// <param name="climb">Greatest climb and descent, metres a second.</param>
    /// <param name="stepMetres">Distance between neighbours, the same everywhere.</param>
    /// <param name="halfWindow">From <see cref="HalfWindow"/>.</param>
    /// <param name="heights">Receives as many heights.</param>
    public static void Fit(
        ReadOnlySpan<double> wanted,
        ReadOnlySpan<double> floor,
        ReadOnlySpan<double> speeds,
        double climb,
        double stepMetres,
        int halfWindow,
        Span<double> heights
    )
    {
        int count = wanted.Length;
        double[] raised = new double[count];
        double[] fastest = new double[count];
        RunningGreatest(floor, halfWindow, raised);
        RunningGreatest(speeds, halfWindow + 1, fastest);
        for (int at = 0; at < count; at++)
        {
            raised[at] = Math.Max(raised[at], wanted[at]);
        }

        for (int at = 1; at < count; at++)
        {
            double sink = climb * stepMetres / fastest[at - 1];
            raised[at] = Math.Max(raised[at], raised[at - 1] - sink);
        }

        for (int at = count - 2; at >= 0; at--)
        {
            double rise = climb * stepMetres / fastest[at];
            raised[at] = Math.Max(raised[at], raised[at + 1] - rise);
        }

        double sum = 0;
        double At(int index) => raised[Math.Clamp(index, 0, count - 1)];
        for (int at = -halfWindow; at <= halfWindow; at++)
        {
            sum += At(at);
        }

        for (int at = 0; at < count; at++)
        {
            heights[at] = sum / ((2 * halfWindow) + 1);
            sum += At(at + halfWindow + 1) - At(at - halfWindow);
        }
    }

    /// <summary>Greatest value within a window around each place (monotone queue: linear in the count).</summary>
    private static void RunningGreatest(ReadOnlySpan<double> values, int halfWindow, Span<double> greatest)
    {
        int[] queue = new int[values.Length];
        int head = 0;
        int tail = 0;
        int next = 0;
        for (int at = 0; at < values.Length; at++)
        {
            while (next < values.Length && next <= at + halfWindow)
            {
                while (tail > head && values[queue[tail - 1]] <= values[next])
                {
                    tail--;
                }

                queue[tail++] = next++;
            }

            while (queue[head] < at - halfWindow)
            {
                head++;
            }

            greatest[at] = values[queue[head]];
        }
    }
}
