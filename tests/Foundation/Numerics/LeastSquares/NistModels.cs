using System.Numerics;

namespace Hillrow.Numerics.Tests.LeastSquares;

/// <summary>
/// The models of the NIST nonlinear problems over complex parameters: an imaginary step of 1e-30 then gives every
/// derivative to working precision without writing it out (Squire &amp; Trapp 1998, doi 10.1137/S003614459631241X).
/// </summary>
internal static class NistModels
{
    public delegate Complex Model(ReadOnlySpan<Complex> b, ReadOnlySpan<double> x);

    public static Model ByName(string name) =>
        name switch
        {
            "Bennett5" => (b, x) => b[0] * Power(b[1] + x[0], -1 / b[2]),
            "BoxBOD" or "Misra1a" => (b, x) => b[0] * (1 - Complex.Exp(-b[1] * x[0])),
            "Chwirut1" or "Chwirut2" => (b, x) => Complex.Exp(-b[0] * x[0]) / (b[1] + (b[2] * x[0])),
            "DanWood" => (b, x) => b[0] * Complex.Exp(b[1] * Math.Log(x[0])),
            "ENSO" => Enso,
            "Eckerle4" => (b, x) => b[0] / b[1] * Complex.Exp(-0.5 * Square((x[0] - b[2]) / b[1])),
            "Gauss1" or "Gauss2" or "Gauss3" => (b, x) =>
                (b[0] * Complex.Exp(-b[1] * x[0]))
                + (b[2] * Complex.Exp(-Square(x[0] - b[3]) / Square(b[4])))
                + (b[5] * Complex.Exp(-Square(x[0] - b[6]) / Square(b[7]))),
            "Hahn1" or "Thurber" => (b, x) =>
                (b[0] + (x[0] * (b[1] + (x[0] * (b[2] + (x[0] * b[3]))))))
                / (1 + (x[0] * (b[4] + (x[0] * (b[5] + (x[0] * b[6])))))),
            "Kirby2" => (b, x) => (b[0] + (x[0] * (b[1] + (x[0] * b[2])))) / (1 + (x[0] * (b[3] + (x[0] * b[4])))),
            "Lanczos1" or "Lanczos2" or "Lanczos3" => (b, x) =>
                (b[0] * Complex.Exp(-b[1] * x[0]))
                + (b[2] * Complex.Exp(-b[3] * x[0]))
                + (b[4] * Complex.Exp(-b[5] * x[0])),
            "MGH09" => (b, x) => b[0] * x[0] * (x[0] + b[1]) / ((x[0] * (x[0] + b[2])) + b[3]),
            "MGH10" => (b, x) => b[0] * Complex.Exp(b[1] / (x[0] + b[2])),
            "MGH17" => (b, x) => b[0] + (b[1] * Complex.Exp(-x[0] * b[3])) + (b[2] * Complex.Exp(-x[0] * b[4])),
            "Misra1b" => (b, x) => b[0] * (1 - (1 / Square(1 + (b[1] * x[0] / 2)))),
            "Misra1c" => (b, x) => b[0] * (1 - Power(1 + (2 * b[1] * x[0]), -0.5)),
            "Misra1d" => (b, x) => b[0] * b[1] * x[0] / (1 + (b[1] * x[0])),
            "Nelson" => (b, x) => b[0] - (b[1] * x[0] * Complex.Exp(-b[2] * x[1])),
            "Rat42" => (b, x) => b[0] / (1 + Complex.Exp(b[1] - (b[2] * x[0]))),
            "Rat43" => (b, x) => b[0] / Power(1 + Complex.Exp(b[1] - (b[2] * x[0])), 1 / b[3]),
            "Roszman1" => (b, x) => b[0] - (b[1] * x[0]) - (ArcTangent(b[2] / (x[0] - b[3])) / Math.PI),
            _ => throw new ArgumentException($"No model for {name}.", nameof(name)),
        };

    private static Complex Enso(ReadOnlySpan<Complex> b, ReadOnlySpan<double> x)
    {
        double turn = Math.Tau * x[0];
        return b[0]
            + (b[1] * Math.Cos(turn / 12))
            + (b[2] * Math.Sin(turn / 12))
            + (b[4] * Complex.Cos(turn / b[3]))
            + (b[5] * Complex.Sin(turn / b[3]))
            + (b[7] * Complex.Cos(turn / b[6]))
            + (b[8] * Complex.Sin(turn / b[6]));
    }

    private static Complex Square(Complex z) => z * z;

    /// <summary>Real powers are defined for a positive base only.</summary>
    private static Complex Power(Complex z, Complex exponent) =>
        z.Real > 0
            ? Complex.Exp(exponent * new Complex(Math.Log(z.Real), z.Imaginary / z.Real))
            : new Complex(double.NaN, double.NaN);

    private static Complex ArcTangent(Complex z) => new(Math.Atan(z.Real), z.Imaginary / (1 + (z.Real * z.Real)));
}
