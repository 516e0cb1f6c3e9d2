using System.Text.Json;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Rehearsal;
using Hillrow.TestSupport;

namespace Hillrow.Validation.Rehearsal;

/// <summary>The true lens against OpenCV on the same lenses.</summary>
public sealed class LensClosure : FigureSource
{
    public override string Area => "rehearsal";

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        CheckBook book = CheckBook.Open("camera-geometry", "projection.json");
        double worst = 0;
        foreach (CheckCase entry in book.Cases)
        {
            string name = entry.Whole.GetProperty("camera").GetString()!;
            JsonElement camera = book
                .Common.GetProperty("cameras")
                .EnumerateArray()
                .First(item => item.GetProperty("name").GetString() == name);
            double[] bend = Numbers(camera.GetProperty("dist"));
            TrueLens lens = new(
                camera.GetProperty("fx").GetDouble(),
                camera.GetProperty("fy").GetDouble(),
                camera.GetProperty("cx").GetDouble() + 0.5,
                camera.GetProperty("cy").GetDouble() + 0.5,
                bend[0],
                bend[1],
                bend[2],
                bend[3],
                bend[4],
                null
            );
            Vector3D turned = Matrix3D.FromRotationVector(Vector(entry, "rvec")) * Vector(entry, "X");
            PixelPoint at = lens.Project(turned + Vector(entry, "tvec"));
            // OpenCV counts from the first pixel's centre.
            worst = Math.Max(worst, Math.Abs(at.Column - 0.5 - entry.Out.GetProperty("u").GetDouble()));
            worst = Math.Max(worst, Math.Abs(at.Row - 0.5 - entry.Out.GetProperty("v").GetDouble()));
        }

        yield return new Figure(
            "projection.maxErrorToOpenCvPx",
            worst,
            $"{book.Cases.Count} points of four lenses, OpenCV 4.6 projectPoints (tests/Reference/camera-geometry)"
        );
    }

    private static Vector3D Vector(CheckCase entry, string name)
    {
        double[] values = Numbers(entry.In.GetProperty(name));
        return new Vector3D(values[0], values[1], values[2]);
    }

    private static double[] Numbers(JsonElement list) => [.. list.EnumerateArray().Select(item => item.GetDouble())];
}
