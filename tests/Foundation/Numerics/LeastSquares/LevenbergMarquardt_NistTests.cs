using Hillrow.Numerics.LeastSquares;
using Hillrow.TestSupport;
using Xunit;

namespace Hillrow.Numerics.Tests.LeastSquares;

/// <summary>NIST StRD nonlinear regression, all 27 problems from both starts.</summary>
public sealed class LevenbergMarquardt_NistTests(ITestOutputHelper output)
{
    /// <summary>Certified to 11 digits; 6 is the check-value book's own bar.</summary>
    private const double ParameterTolerance = 1e-6;
    private const double DeviationTolerance = 1e-5;
    private const double SumOfSquaresTolerance = 1e-9;

    /// <summary>Lanczos1 fits to the last digit printed: its certified sum (1.4e-25) is the data's rounding.</summary>
    private const double SumOfSquaresFloor = 1e-20;

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void Solve_EveryProblemFromBothStarts_FindsTheCertifiedValues(bool analytic)
    {
        string? folder = RepositoryFiles.OpenData("lsq-nist-and-ba", "nist");
        Assert.SkipWhen(folder is null, "The open data (lsq-nist-and-ba/nist) is not on this machine.");
        string[] files = Directory.GetFiles(folder!, "*.dat");
        Assert.Equal(27, files.Length);
        CheckTally tally = new();
        foreach (string file in files.Order(StringComparer.Ordinal))
        {
            NistProblem problem = NistProblem.Read(file);
            for (int start = 0; start < 2; start++)
            {
                LevenbergMarquardtSummary summary = problem.Solve(start, analytic, out double[] found);
                output.WriteLine($"{problem.Name} start {start + 1}: {summary.Reason}, {summary.StepsTried} steps");
                Compare(tally, problem, start, summary, found, analytic ? 1 : 10);
            }
        }

        Assert.True(tally.Failures.Count == 0, tally.Report());
    }

    [Fact]
    public void Solve_CheckBookProblems_FindTheCertifiedValues()
    {
        CheckTally tally = new();
        foreach (CheckCase entry in CheckBook.Open("statistics", "nist_nonlinear.json").Cases)
        {
            double[][] x = [.. Doubles(entry.In.GetProperty("x")).Select(value => new[] { value })];
            NistProblem problem = new(
                entry.Id.Replace("nls-", ""),
                x,
                Doubles(entry.In.GetProperty("y")),
                [Doubles(entry.In.GetProperty("start1")), Doubles(entry.In.GetProperty("start2"))],
                Doubles(entry.Out.GetProperty("params")),
                Doubles(entry.Out.GetProperty("se")),
                entry.Out.GetProperty("rss").GetDouble()
            );
            for (int start = 0; start < 2; start++)
            {
                LevenbergMarquardtSummary summary = problem.Solve(start, analytic: true, out double[] found);
                Compare(tally, problem, start, summary, found, 1);
            }
        }

        Assert.True(tally.CaseCount > 0 && tally.Failures.Count == 0, tally.Report());
    }

    private static double[] Doubles(System.Text.Json.JsonElement list) =>
        [.. list.EnumerateArray().Select(value => value.GetDouble())];

    private static void Compare(
        CheckTally tally,
        NistProblem problem,
        int start,
        LevenbergMarquardtSummary summary,
        double[] found,
        double slack
    )
    {
        string id = $"{problem.Name} start {start + 1} ({summary.Reason}, {summary.StepsTried} steps)";
        double[]? deviations = summary.StandardDeviations();
        tally.IsTrue(id, "no covariance", deviations is not null);
        for (int k = 0; k < found.Length; k++)
        {
            tally.Compare(id, $"b{k + 1}", found[k], problem.Parameters[k], 0, slack * ParameterTolerance);
            if (deviations is not null && problem.SumOfSquares > SumOfSquaresFloor)
            {
                double want = problem.StandardDeviations[k];
                tally.Compare(id, $"deviation {k + 1}", deviations[k], want, 0, slack * DeviationTolerance);
            }
        }

        tally.Compare(
            id,
            "sum of squares",
            2 * summary.CostAfter,
            problem.SumOfSquares,
            SumOfSquaresFloor,
            SumOfSquaresTolerance
        );
    }
}
