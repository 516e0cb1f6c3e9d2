using System.Globalization;
using Hillrow.Numerics;
using Hillrow.Planning;

namespace Hillrow.Estate;

/// <summary>The plans that stand in an estate's flights/plans.</summary>
public static class FiledPlans
{
    private const string PlanFile = "plan.json";

    /// <summary>The plan named, else the last made of those for the day, else the last made; null when there is none.</summary>
    /// <exception cref="InputProblemException">No plan of that name, or the plan chosen cannot be read.</exception>
    public static FiledPlan? Choose(EstateFolder estate, string? name, DateOnly day)
    {
        ArgumentNullException.ThrowIfNull(estate);
        string folder = Path.Combine(PlanInputs.FlightsFolder(estate), "plans");
        string[] files = Directory.Exists(folder)
            ?
            [
                .. Directory
                    .GetDirectories(folder)
                    .Select(plan => Path.Combine(plan, PlanFile))
                    .Where(File.Exists)
                    .OrderByDescending(File.GetLastWriteTimeUtc)
                    .ThenByDescending(file => file, StringComparer.Ordinal),
            ]
            : [];
        if (name is not null)
        {
            string[] names = [.. files.Select(NameOf).Order(StringComparer.Ordinal)];
            return FiledPlan.Load(
                files.FirstOrDefault(file => NameOf(file) == name)
                    ?? throw new InputProblemException(
                        "--plan",
                        $"\"{name}\" is no plan of the estate.",
                        names.Length == 0
                            ? "Plan the day's flights with `hillrow plan`."
                            : $"There are: {string.Join(", ", names)}."
                    )
            );
        }

        string dated = day.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);
        return files.FirstOrDefault(file => NameOf(file).Contains(dated, StringComparison.Ordinal)) is { } meant
                ? FiledPlan.Load(meant)
            : files.Length > 0 ? FiledPlan.Load(files[0])
            : null;
    }

    private static string NameOf(string file) => Path.GetFileName(Path.GetDirectoryName(file))!;
}
