using System.Text.Json;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.TestSupport;
using Xunit;

namespace Hillrow.Rehearsal.Tests;

/// <summary>Source: OpenCV 4.6.0 projectPoints and undistortPoints (tests/Reference/camera-geometry).</summary>
public sealed class TrueLens_OpenCvTests
{
    [Fact]
    public void Project_OpenCvCases_AgreeBothWays()
    {
        CheckBook book = CheckBook.Open("camera-geometry", "projection.json");
        CheckTally tally = new();
        foreach (CheckCase entry in book.Cases)
        {
            TrueLens lens = LensOf(book, entry);
            Vector3D inCamera =
                (Matrix3D.FromRotationVector(VectorOf(entry.In, "rvec")) * VectorOf(entry.In, "X"))
                + VectorOf(entry.In, "tvec");
            PixelPoint at = lens.Project(inCamera);
            // OpenCV counts from the centre of the first pixel, we from its outer corner.
            double u = entry.Out.GetProperty("u").GetDouble();
            double v = entry.Out.GetProperty("v").GetDouble();
            tally.Compare(entry.Id, "column", at.Column - 0.5, u, 1e-6);
            tally.Compare(entry.Id, "row", at.Row - 0.5, v, 1e-6);
            Vector3D ray = lens.Ray(u + 0.5, v + 0.5);
            tally.Compare(entry.Id, "x", ray.X, entry.Out.GetProperty("xn").GetDouble(), 1e-9);
            tally.Compare(entry.Id, "y", ray.Y, entry.Out.GetProperty("yn").GetDouble(), 1e-9);
        }

        Assert.True(tally.Failures.Count == 0, tally.Report());
        Assert.True(tally.Comparisons >= 200);
    }

    private static TrueLens LensOf(CheckBook book, CheckCase entry)
    {
        string name = entry.Whole.GetProperty("camera").GetString()!;
        JsonElement camera = book
            .Common.GetProperty("cameras")
            .EnumerateArray()
            .First(item => item.GetProperty("name").GetString() == name);
        double[] bend = [.. camera.GetProperty("dist").EnumerateArray().Select(item => item.GetDouble())];
        return new TrueLens(
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
    }

    private static Vector3D VectorOf(JsonElement from, string name)
    {
        double[] values = [.. from.GetProperty(name).EnumerateArray().Select(item => item.GetDouble())];
        return new Vector3D(values[0], values[1], values[2]);
    }
}
