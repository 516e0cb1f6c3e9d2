using Hillrow.Imaging;
using Hillrow.Reconstruction;

namespace Hillrow.Validation.Reconstruction;

/// <summary>Marks of boards found in pictures, against where the boards truly are.</summary>
/// <param name="Seen">Boards that enough frames show.</param>
/// <param name="Found">Of them those with two marks or more, all near the truth.</param>
/// <param name="Marks">Of any board.</param>
/// <param name="Wrong">Of them those not near the truth.</param>
internal sealed record TargetTally(int Seen, int Found, int Marks, int Wrong)
{
    public const double NearPixels = 1.5;

    private const int FramesToBeSeen = 4;
    private const double MarginPixels = 20;

    public static TargetTally Of(RehearsedSurvey survey, IReadOnlyList<ControlMark> marks)
    {
        (string Target, string File, PixelPoint Pixel)[] truth = [.. survey.TargetsInFrames(0)];
        bool IsNear(ControlMark mark) =>
            truth.Any(entry =>
                entry.Target == mark.PointId
                && entry.File.EndsWith(mark.File, StringComparison.OrdinalIgnoreCase)
                && Math.Abs(entry.Pixel.Column - mark.Pixel.Column) <= NearPixels
                && Math.Abs(entry.Pixel.Row - mark.Pixel.Row) <= NearPixels
            );
        string[] seen =
        [
            .. survey
                .TargetsInFrames(MarginPixels)
                .GroupBy(entry => entry.Target)
                .Where(group => group.Count() >= FramesToBeSeen)
                .Select(group => group.Key),
        ];
        return new TargetTally(
            seen.Length,
            seen.Count(target =>
                marks.Count(mark => mark.PointId == target) >= 2
                && marks.Where(mark => mark.PointId == target).All(IsNear)
            ),
            marks.Count,
            marks.Count(mark => !IsNear(mark))
        );
    }
}
