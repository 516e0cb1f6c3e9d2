using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Reconstruction;

/// <summary>
/// How much recorded positions stray from capture to capture, beside what drifts: found from how solved and recorded
/// steps between neighbours differ.
/// </summary>
/// <param name="HorizontalShare">Jitter of east and of north as a share of the stated error.</param>
/// <param name="VerticalShare">The same of heights.</param>
internal sealed record PositionJitter(double HorizontalShare, double VerticalShare)
{
    /// <summary>Neighbours farther apart in time share too little of the drift.</summary>
    private const double LongestStepSeconds = 12;

    private const int LeastSteps = 6;

    /// <summary>No record of position and trigger time is better than this in motion, whatever it claims.</summary>
    private const double LeastMetres = 0.02;

    /// <summary>With too few neighbours to tell: a third of the whole error.</summary>
    private const double UntoldShare = 0.3;

    /// <summary>Neighbours cannot show that there is no drift at all.</summary>
    private const double LeastDriftShare = 0.3;

    /// <param name="priors">Of all captures.</param>
    /// <param name="poses">As solved so far.</param>
    /// <param name="lever">Antenna from lens, camera frame, metres.</param>
    /// <param name="counts">Captures whose position is believed.</param>
    public static PositionJitter From(
        IReadOnlyList<CapturePrior> priors,
        IReadOnlyList<CameraPose> poses,
        Vector3D lever,
        IReadOnlyList<bool> counts
    )
    {
        List<double> across = [];
        List<double> up = [];
        Vector3D? last = null;
        for (int index = 0; index < priors.Count; index++)
        {
            if (!counts[index])
            {
                last = null;
                continue;
            }

            CameraPose pose = poses[index];
            Vector3D off =
                pose.CentreLocalMetres + (pose.LocalToCamera.Transposed() * lever) - priors[index].AntennaLocalMetres;
            if (
                last is { } before
                && priors[index].Sortie == priors[index - 1].Sortie
                && priors[index].Seconds - priors[index - 1].Seconds <= LongestStepSeconds
            )
            {
                // Relative to what is stated, so that captures of different worth count alike.
                across.Add(Math.Abs(off.X - before.X) / priors[index].HorizontalSigmaMetres);
                across.Add(Math.Abs(off.Y - before.Y) / priors[index].HorizontalSigmaMetres);
                up.Add(Math.Abs(off.Z - before.Z) / priors[index].VerticalSigmaMetres);
            }

            last = off;
        }

        return new PositionJitter(Share(across, 2 * LeastSteps), Share(up, LeastSteps));
    }

    /// <summary>All of the error, and as much drift again: for poses too rough to tell.</summary>
    public static PositionJitter Unknown { get; } = new(1, 1);

    /// <summary>Standard errors of a capture's position beside the drift, metres.</summary>
    public (double Horizontal, double Vertical) Of(CapturePrior prior) =>
        (
            Math.Max(LeastMetres, HorizontalShare * prior.HorizontalSigmaMetres),
            Math.Max(LeastMetres, VerticalShare * prior.VerticalSigmaMetres)
        );

    /// <summary>What drifts, as a share of the whole stated error: jitter and drift make up the whole.</summary>
    public (double Horizontal, double Vertical) DriftShare =>
        ReferenceEquals(this, Unknown) ? (1, 1) : (Rest(HorizontalShare), Rest(VerticalShare));

    private static double Rest(double share) => Math.Max(LeastDriftShare, Math.Sqrt(1 - (share * share)));

    /// <summary>Jitter as a share of the stated error, never above it; the median bears wild positions.</summary>
    private static double Share(List<double> steps, int least)
    {
        if (steps.Count < least)
        {
            return UntoldShare;
        }

        steps.Sort();

        // Half of all normal errors lie within 0.6745 sigma; a step is the difference of two.
        return Math.Clamp(steps[steps.Count / 2] / (0.6745 * Math.Sqrt(2)), 0.01, 1);
    }
}
