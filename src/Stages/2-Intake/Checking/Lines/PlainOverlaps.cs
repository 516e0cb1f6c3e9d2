using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Intake;

/// <summary>Overlap where lines cannot be told apart, and what the time of a re-fly is reckoned from.</summary>
/// <param name="Forward">1 − move between triggers / length of a frame; null when too few captures.</param>
/// <param name="Side">What the mean number of views leaves; null when too few captures.</param>
/// <param name="SpeedMetresPerSecond">Middle of the moves.</param>
/// <param name="LineSpacingMetres">Ground that one more line adds.</param>
internal sealed record PlainOverlaps(
    double? Forward,
    double? Side,
    double SpeedMetresPerSecond,
    double LineSpacingMetres
)
{
    private const double UsualSpeed = 8;
    private const double UsualSpacing = 20;

    /// <summary>Forward overlap by move against the frame's length; side overlap by what the mean number of views leaves.</summary>
    public static PlainOverlaps Of(
        FieldCheckInput input,
        IntakeCapture[] sharp,
        SightedFrame[] frames,
        CoverageMap map,
        int[] blockOf
    )
    {
        List<double> moves = [];
        List<double> speeds = [];
        List<double> heights = [];
        for (int at = 0; at < frames.Length; at++)
        {
            Vector3D here = frames[at].Pose.CentreLocalMetres;
            double above = here.Z - input.Ground.HeightAt(here.X, here.Y);
            if (above > 1)
            {
                heights.Add(above);
            }

            if (
                at > 0
                && sharp[at].Capture is { TimeUtc: { } time }
                && sharp[at - 1].Capture.TimeUtc is { } last
                && (time - last).TotalSeconds is > 0.1 and < 8
            )
            {
                double move = (here - frames[at - 1].Pose.CentreLocalMetres).Length;
                moves.Add(move);
                speeds.Add(move / (time - last).TotalSeconds);
            }
        }

        if (moves.Count < 5 || heights.Count == 0)
        {
            return new PlainOverlaps(null, null, UsualSpeed, UsualSpacing);
        }

        double Middle(List<double> values) => values.Order().ElementAt(values.Count / 2);
        Lens lens = input.Profile.ReferenceBand.Lens;
        double angle = frames[0].PixelAngleRadians;
        double length = Middle(heights) * angle * lens.Rows;
        double width = Middle(heights) * angle * lens.Columns;
        double forward = 1 - (Middle(moves) / length);
        double mean = Enumerable
            .Range(0, blockOf.Length)
            .Where(cell => blockOf[cell] >= 0)
            .Select(cell => (double)map.Counts[cell])
            .DefaultIfEmpty(0)
            .Average();
        double side = mean <= 0 || forward >= 1 ? 0 : 1 - (1 / (mean * (1 - forward)));
        return new PlainOverlaps(
            Math.Max(0, forward),
            Math.Clamp(side, 0, 0.99),
            Middle(speeds),
            width * (1 - Math.Clamp(side, 0, 0.8))
        );
    }
}
