using System.Globalization;
using System.Numerics;
using System.Text.RegularExpressions;
using Hillrow.Numerics.LeastSquares;

namespace Hillrow.Numerics.Tests.LeastSquares;

/// <summary>One NIST nonlinear regression problem: data, two starts and the certified result.</summary>
internal sealed partial record NistProblem(
    string Name,
    double[][] X,
    double[] Y,
    double[][] Starts,
    double[] Parameters,
    double[] StandardDeviations,
    double SumOfSquares
)
{
    public static NistProblem Read(string path)
    {
        string name = Path.GetFileNameWithoutExtension(path);
        string[] lines = File.ReadAllLines(path);
        List<double[]> table = [];
        List<double[]> data = [];
        double sum = double.NaN;
        bool inData = false;
        foreach (string line in lines)
        {
            Match parameter = ParameterLine().Match(line);
            if (parameter.Success)
            {
                table.Add(Numbers(parameter.Groups["numbers"].Value));
            }
            else if (line.StartsWith("Residual Sum of Squares", StringComparison.Ordinal))
            {
                sum = Numbers(line[(line.IndexOf(':') + 1)..])[0];
            }
            else if (line.StartsWith("Data:", StringComparison.Ordinal) && !line.Contains("Response"))
            {
                inData = true;
            }
            else if (inData && line.Trim().Length > 0)
            {
                data.Add(Numbers(line));
            }
        }

        if (name == "Roszman1")
        {
            // The public copy of this file misprints b1 as 1.20196866396E-0; NIST's value is 2.0196866396E-01.
            table[0][2] = 0.20196866396;
        }

        bool logarithm = name == "Nelson";
        return new NistProblem(
            name,
            [.. data.Select(row => row[1..])],
            [.. data.Select(row => logarithm ? Math.Log(row[0]) : row[0])],
            [
                [.. table.Select(row => row[0])],
                [.. table.Select(row => row[1])],
            ],
            [.. table.Select(row => row[2])],
            [.. table.Select(row => row[3])],
            sum
        );
    }

    public bool Residuals(ReadOnlySpan<double> b, Span<double> residuals)
    {
        Complex[] parameters = [.. b.ToArray().Select(value => new Complex(value, 0))];
        NistModels.Model model = NistModels.ByName(Name);
        for (int row = 0; row < Y.Length; row++)
        {
            residuals[row] = model(parameters, X[row]).Real - Y[row];
        }

        return true;
    }

    public bool Jacobian(ReadOnlySpan<double> b, Span<double> jacobian)
    {
        const double Step = 1e-30;
        Complex[] parameters = [.. b.ToArray().Select(value => new Complex(value, 0))];
        NistModels.Model model = NistModels.ByName(Name);
        for (int column = 0; column < b.Length; column++)
        {
            parameters[column] = new Complex(b[column], Step);
            for (int row = 0; row < Y.Length; row++)
            {
                jacobian[(row * b.Length) + column] = model(parameters, X[row]).Imaginary / Step;
            }

            parameters[column] = new Complex(b[column], 0);
        }

        return true;
    }

    public LevenbergMarquardtSummary Solve(int start, bool analytic, out double[] parameters)
    {
        parameters = (double[])Starts[start].Clone();
        return LevenbergMarquardt.Solve(Residuals, analytic ? Jacobian : null, parameters, Y.Length);
    }

    private static double[] Numbers(string text) =>
        [
            .. text.Split((char[]?)null, StringSplitOptions.RemoveEmptyEntries)
                .Select(part => double.Parse(part, CultureInfo.InvariantCulture)),
        ];

    [GeneratedRegex(@"^\s*b\d\s*=\s*(?<numbers>.*)$", RegexOptions.ExplicitCapture, 1000)]
    private static partial Regex ParameterLine();
}
