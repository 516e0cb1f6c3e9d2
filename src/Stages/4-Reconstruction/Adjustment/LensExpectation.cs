using Hillrow.Imaging;
using Hillrow.Numerics.LeastSquares;

namespace Hillrow.Reconstruction;

/// <summary>
/// How far a lens may lie from its profile: tolerances of small hand-assembled lenses. A profile without any distortion
/// was never calibrated; its focal length is the maker's round number, and its distortion is anything a lens can have.
/// </summary>
internal static class LensExpectation
{
    private const double FocalShare = 0.015;
    private const double PixelEdgeShare = 0.0005;
    private const double PrincipalShare = 0.01;
    private const double UncalibratedFocalShare = 0.06;
    private const double UncalibratedTimes = 5;

    /// <summary>Expected numbers of the lens in a shared block.</summary>
    public static ExpectedValues Of(int block, Lens lens)
    {
        double[] values = [.. lens.Parameters];
        bool calibrated = lens
            .ParameterNames.Zip(values)
            .Any(entry => entry.First is "k1" or "k2" or "k3" or "p1" or "p2" && entry.Second != 0);
        double[] sigmas =
        [
            .. lens.ParameterNames.Select((name, at) => Sigma(name, values[at], lens) * Looser(name, calibrated)),
        ];
        ExpectedValues expected = ExpectedValues.Of(block, values, sigmas);
        int columns = Find(lens, "focalColumnsPixels");
        int rows = Find(lens, "focalRowsPixels");

        // Pixels are square to far better than the focal length is known: the two focal lengths go together.
        return columns >= 0 && rows >= 0
            ? expected.AndDifference(columns, rows, values[columns] - values[rows], PixelEdgeShare * values[columns])
            : expected;
    }

    private static double Looser(string name, bool calibrated) =>
        calibrated ? 1
        : name is "focalColumnsPixels" or "focalRowsPixels" ? UncalibratedFocalShare / FocalShare
        : name is "principalColumn" or "principalRow" ? 1
        : UncalibratedTimes;

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
