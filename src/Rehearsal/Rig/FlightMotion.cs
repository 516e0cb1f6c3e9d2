using Hillrow.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>How far aircraft and instruments stray; standard deviations.</summary>
public sealed record MotionSettings
{
    /// <summary>Of the true path about the planned one.</summary>
    public double PathMetres { get; init; } = 0.4;

    public double RollDegrees { get; init; } = 1.9;

    public double PitchDegrees { get; init; } = 1.6;

    public double YawDegrees { get; init; } = 2.2;

    /// <summary>Of the reported position about the true one, horizontally; single-frequency satellite receiver.</summary>
    public double GpsHorizontalMetres { get; init; } = 0.9;

    public double GpsVerticalMetres { get; init; } = 1.7;

    public double AttitudeErrorDegrees { get; init; } = 0.55;

    public double YawErrorDegrees { get; init; } = 1.4;
}

/// <summary>The true and the reported pose at a capture.</summary>
/// <param name="True">Where the rig was.</param>
/// <param name="Reported">What the instruments said; position in the local frame.</param>
/// <param name="VelocityMetresPerSecond">True velocity.</param>
public readonly record struct FlownPose(RigPose True, RigPose Reported, Vector3D VelocityMetresPerSecond);

/// <summary>Flies a plan with gusts, and reports it with errors that drift.</summary>
public static class FlightMotion
{
    public static IReadOnlyList<FlownPose> Fly(
        IReadOnlyList<PlannedCapture> plan,
        MotionSettings settings,
        SplittableRandom draw
    )
    {
        ArgumentNullException.ThrowIfNull(plan);
        ArgumentNullException.ThrowIfNull(settings);
        ArgumentNullException.ThrowIfNull(draw);
        int stream = 0;
        DriftingError Drift(double sigma, double seconds) => new(sigma, seconds, draw.Split((ulong)stream++));
        DriftingError[] path =
        [
            Drift(settings.PathMetres, 8),
            Drift(settings.PathMetres, 8),
            Drift(0.7 * settings.PathMetres, 6),
        ];
        DriftingError[] turn =
        [
            Drift(settings.YawDegrees, 6),
            Drift(settings.PitchDegrees, 1.6),
            Drift(settings.RollDegrees, 1.3),
        ];
        DriftingError[] gps =
        [
            Drift(settings.GpsHorizontalMetres, 240),
            Drift(settings.GpsHorizontalMetres, 240),
            Drift(settings.GpsVerticalMetres, 320),
        ];
        DriftingError[] attitude =
        [
            Drift(settings.YawErrorDegrees, 90),
            Drift(settings.AttitudeErrorDegrees, 45),
            Drift(settings.AttitudeErrorDegrees, 45),
        ];
        SplittableRandom white = draw.Split("white");
        List<FlownPose> flown = [];
        for (int index = 0; index < plan.Count; index++)
        {
            PlannedCapture planned = plan[index];
            double step = index == 0 ? 0 : planned.Seconds - plan[index - 1].Seconds;
            Vector3D position =
                planned.PositionMetres + new Vector3D(path[0].After(step), path[1].After(step), path[2].After(step));
            RigPose pose = new(
                position,
                planned.YawDegrees + turn[0].After(step),
                -1.2 + turn[1].After(step),
                turn[2].After(step)
            );
            RigPose reported = new(
                position
                    + new Vector3D(
                        gps[0].After(step) + (0.04 * white.NextGaussian()),
                        gps[1].After(step) + (0.04 * white.NextGaussian()),
                        gps[2].After(step) + (0.07 * white.NextGaussian())
                    ),
                pose.YawDegrees + attitude[0].After(step) + (0.1 * white.NextGaussian()),
                pose.PitchDegrees + attitude[1].After(step) + (0.05 * white.NextGaussian()),
                pose.RollDegrees + attitude[2].After(step) + (0.05 * white.NextGaussian())
            );
            flown.Add(new FlownPose(pose, reported, Velocity(plan, index)));
        }

        return flown;
    }

    private static Vector3D Velocity(IReadOnlyList<PlannedCapture> plan, int index)
    {
        int other = index + 1 < plan.Count && plan[index + 1].Line == plan[index].Line ? index + 1 : index - 1;
        if (other < 0 || plan[other].Line != plan[index].Line)
        {
            return Vector3D.Zero;
        }

        double seconds = plan[other].Seconds - plan[index].Seconds;
        return (plan[other].PositionMetres - plan[index].PositionMetres) / seconds;
    }
}
