using System.Globalization;
using System.Text.Json;
using Hillrow.Numerics.LeastSquares;
using Hillrow.TestSupport;

namespace Hillrow.Numerics.Tests.BundleAdjustment;

/// <summary>The runs of tests/Reference/bundle-adjustment/solutions.json, set up as its README says.</summary>
public sealed record BalRun(string Id, BalProblem Problem, RobustLoss Loss, double InitialCost, double FinalCost)
{
    /// <summary>The runs with gross errors and no loss have flat valleys: many steps, a tight tolerance.</summary>
    public static BlockSolverSettings Settings =>
        new()
        {
            MaximumSteps = 500,
            CostTolerance = 1e-7,
            Threads = 2,
        };

    public static IEnumerable<BalRun> All()
    {
        foreach (CheckCase entry in CheckBook.Open("bundle-adjustment", "solutions.json").Cases)
        {
            string file = entry.In.GetProperty("problem").GetString()!;
            BalProblem problem = BalProblem.Read(RepositoryFiles.Reference("bundle-adjustment", file));
            if (entry.In.GetProperty("skip_outliers").GetBoolean())
            {
                string list = file.Replace(".bal.txt", ".outliers.txt");
                problem = problem.Without(
                    File.ReadAllText(RepositoryFiles.Reference("bundle-adjustment", list))
                        .Split((char[]?)null, StringSplitOptions.RemoveEmptyEntries)
                        .Select(text => int.Parse(text, CultureInfo.InvariantCulture))
                        .ToHashSet()
                );
            }

            bool huber = entry.In.GetProperty("loss").GetString()!.StartsWith("Huber");
            yield return new BalRun(
                entry.Id,
                problem,
                huber ? RobustLoss.Huber(1) : RobustLoss.Trivial,
                Number(entry.Out, "initial_cost"),
                Number(entry.Out, "final_cost")
            );
        }
    }

    private static double Number(JsonElement element, string name) => element.GetProperty(name).GetDouble();
}
