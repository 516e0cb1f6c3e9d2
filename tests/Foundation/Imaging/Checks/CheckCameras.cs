using System.Text.Json;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.TestSupport;

namespace Hillrow.Checks;

/// <summary>The invented cameras of tests/Reference/camera-geometry, carried into our pixel convention (+0.5).</summary>
public static class CheckCameras
{
    public static BrownConradyLens Lens(CheckBook book, CheckCase check)
    {
        string name = check.Whole.GetProperty("camera").GetString()!;
        JsonElement camera = book
            .Common.GetProperty("cameras")
            .EnumerateArray()
            .First(entry => entry.GetProperty("name").GetString() == name);
        double[] distortion = camera.TryGetProperty("dist", out JsonElement given) ? Doubles(given) : new double[5];
        int[] size = [.. camera.GetProperty("size").EnumerateArray().Select(entry => entry.GetInt32())];
        return new BrownConradyLens(
            size[1],
            size[0],
            new BrownConradyValues(
                camera.GetProperty("fx").GetDouble(),
                camera.GetProperty("fy").GetDouble(),
                FromCentreConvention(camera.GetProperty("cx").GetDouble(), camera.GetProperty("cy").GetDouble()),
                distortion[0],
                distortion[1],
                distortion[2],
                distortion[3],
                distortion[4]
            )
        );
    }

    public static PixelPoint FromCentreConvention(double u, double v) => new(u + 0.5, v + 0.5);

    public static double[] Doubles(JsonElement array) => [.. array.EnumerateArray().Select(entry => entry.GetDouble())];

    public static Vector3D Vector(JsonElement array)
    {
        double[] values = Doubles(array);
        return new Vector3D(values[0], values[1], values[2]);
    }

    public static Matrix3D Matrix(JsonElement rows) =>
        Matrix3D.FromRows(Vector(rows[0]), Vector(rows[1]), Vector(rows[2]));

    public static void Compare(
        this CheckTally tally,
        string caseId,
        string quantity,
        Matrix3D got,
        Matrix3D want,
        double absolute
    )
    {
        tally.Compare(caseId, quantity + " row 1", got.Row1, want.Row1, absolute);
        tally.Compare(caseId, quantity + " row 2", got.Row2, want.Row2, absolute);
        tally.Compare(caseId, quantity + " row 3", got.Row3, want.Row3, absolute);
    }

    public static void Compare(
        this CheckTally tally,
        string caseId,
        string quantity,
        Vector3D got,
        Vector3D want,
        double absolute
    )
    {
        tally.Compare(caseId, quantity + " x", got.X, want.X, absolute);
        tally.Compare(caseId, quantity + " y", got.Y, want.Y, absolute);
        tally.Compare(caseId, quantity + " z", got.Z, want.Z, absolute);
    }
}
