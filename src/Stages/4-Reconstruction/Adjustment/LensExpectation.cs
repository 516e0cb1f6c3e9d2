using Hillrow.Imaging;
using Hillrow.Numerics.LeastSquares;

namespace Hillrow.Reconstruction;

/// <summary>How far a lens may lie from its profile: tolerances of small hand-assembled lenses.</summary>
internal static class LensExpectation
{
    private const double FocalShare = 0.015;
    private const double PixelEdgeShare = 0.0005;
    private const double PrincipalShare = 0.01;

    /// <summary>Expected numbers of the lens in a shared block.</summary>
    public static ExpectedValues Of(int block, Lens lens)
    {
        double[] values = [.. lens.Parameters];
        double[] sigmas = [.. lens.ParameterNames.Select((name, at) => Sigma(name, values[at], lens))];
        ExpectedValues expected = ExpectedValues.Of(block, values, sigmas);
        int columns = Find(lens, "focalColumnsPixels");
        int rows = Find(lens, "focalRowsPixels");

        // Pixels are square to far better than the focal length is known: the two focal lengths go together.
        return columns >= 0 && rows >= 0
            ? expected.AndDifference(columns, rows, values[columns] - values[rows], PixelEdgeShare * values[columns])
            : expected;
    }

    private static int Find(Lens lens, string name)
    {
        for (int at = 0; at < lens.ParameterNames.Count; at++)
        {
            if (lens.ParameterNames[at] == name)
            {
                return at;
            }
        }

        return -1;
    }

    private static double Sigma(string name, double value, Lens lens) =>
        name switch
        {
            "focalColumnsPixels" or "focalRowsPixels" => FocalShare * value,
            "principalColumn" or "principalRow" => PrincipalShare * lens.Columns,
            "k1" => 0.02,
            "k2" => 0.03,
            "k3" => 0.02,
            "p1" or "p2" => 0.001,
            _ => Math.Max(0.02, 0.02 * Math.Abs(value)),
        };
}
