using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Reconstruction;

/// <summary>Finds recorded positions that the pictures contradict, and takes them out of the adjustment.</summary>
internal sealed class PositionTrust(SurveyPriors priors, Vector3D antennaFromLens)
{
    /// <summary>An error of so many stated standard errors is no error of a working receiver.</summary>
    private const double WrongFromSigmas = 6;

    /// <summary>What a rough adjustment may still bend.</summary>
    private const double SlackMetres = 3;

    /// <summary>Fewer ties do not place a capture well enough to contradict its receiver.</summary>
    private const int LeastSights = 12;

    private readonly SortedDictionary<int, double> wrong = [];

    /// <summary>Capture and how far its recorded position is from where the pictures place it, metres.</summary>
    public IReadOnlyDictionary<int, double> Wrong => wrong;

    public void Judge(SurveyAdjustment adjustment)
    {
        int[] ties = adjustment.TiesPerCapture();
        for (int index = 0; index < ties.Length; index++)
        {
            CapturePrior prior = priors.Captures[index];
            if (!prior.HasPosition || !adjustment.Placed[index] || ties[index] < LeastSights)
            {
                continue;
            }

            CameraPose pose = adjustment.Poses[index];
            Vector3D off =
                pose.CentreLocalMetres + (pose.LocalToCamera.Transposed() * antennaFromLens) - prior.AntennaLocalMetres;
            double plan = Math.Sqrt((off.X * off.X) + (off.Y * off.Y));
            if (
                plan > (WrongFromSigmas * prior.HorizontalSigmaMetres) + SlackMetres
                || Math.Abs(off.Z) > (WrongFromSigmas * prior.VerticalSigmaMetres) + SlackMetres
            )
            {
                adjustment.PositionCounts[index] = false;
                wrong[index] = off.Length;
            }
        }
    }
}
