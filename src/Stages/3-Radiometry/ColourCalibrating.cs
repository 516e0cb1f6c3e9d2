using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Radiometry;

/// <summary>
/// A colour camera's pictures: its red, green and blue overlap and are processed in the camera, so no reflectance can be
/// had. A map can: each frame's colours, by its response, evened by exposure and gain.
/// </summary>
internal static class ColourCalibrating
{
    /// <summary>No measured error: says that a level may be off by as much as a cloud takes (common practice).</summary>
    private const double RelativeSigma = 0.3;

    private const string Reason = "colours of the camera, not reflectance";

    public static RadiometryResult Settle(RadiometryInput input)
    {
        List<BandFactor> bands = [];
        List<FrameFactor> frames = [];
        foreach (CameraBand band in input.Profile.ReflectiveBands)
        {
            (string Id, BandFrame Frame)[] own =
            [
                .. input
                    .Captures.Where(capture => capture.FrameOf(band.Name) is not null)
                    .Select(capture => (capture.Id, capture.FrameOf(band.Name)!)),
            ];
            // White, exposed as the middle frame is, comes out as 1.
            double middle = Median([.. own.Select(one => Exposure(one.Frame))]);
            bands.Add(new BandFactor(band.Name, middle, RelativeSigma, CalibrationMethod.Colours, Reason));
            frames.AddRange(own.Select(one => new FrameFactor(one.Id, band.Name, 1, 0)));
        }

        return new RadiometryResult(
            new Calibration
            {
                Bands = bands,
                Frames = frames,
                PanelReadings = [],
                Remarks = [$"The camera {input.Profile.Name} gives {Reason}."],
            },
            frames.Count == 0
                ? StageOutcome.Refused(["No capture has a colour picture."])
                : StageOutcome.Degraded([
                    $"The camera {input.Profile.Name} gives colours, not reflectance: the map shows how the ground looks; indices and their change say nothing. Fly a camera with bands of its own for those.",
                ])
        );
    }

    private static double Exposure(BandFrame frame) => (frame.ExposureSeconds ?? 1) * (frame.Gain ?? 1);

    private static double Median(double[] values)
    {
        Array.Sort(values);
        return values.Length == 0 ? 1 : values[values.Length / 2];
    }
}
