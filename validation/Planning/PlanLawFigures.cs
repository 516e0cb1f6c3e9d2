using Hillrow.Checks;

namespace Hillrow.Validation.Planning;

/// <summary>Laws of every plan on random sites, and refusals.</summary>
public sealed class PlanLawFigures : FigureSource
{
    public override string Area => "planning";

    public override int Order => 4;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        int sites = run.Quick ? 15 : 60;
        yield return Laws(
            run,
            "properties.violations",
            // A fifth of them drawn.
            Enumerable.Range(0, sites).Select(site => site % 5 == 4 ? run.DrawnSeed + (ulong)site : (ulong)site),
            $"12 of 60 drawn from {run.DrawnSeed}"
        );
        yield return Laws(
            run,
            "properties.violationsOnDrawn",
            // Beyond those above: docs/decisions/0034.
            Enumerable.Range(0, sites).Select(site => run.DrawnSeed + 1000 + (ulong)site),
            $"all drawn from {run.DrawnSeed}"
        );
        IReadOnlyList<string> refused6 = PlanRefusalCases.Wrong();
        foreach (string one in refused6)
        {
            run.Say($"  {one}");
        }

        yield return new Figure("refusals.wrong", refused6.Count, "6 cases, each with its remedy tried out");
    }

    private static Figure Laws(ValidationRun run, string name, IEnumerable<ulong> seeds, string which)
    {
        int refusals = 0;
        int sites = 0;
        List<string> wrong = [];
        foreach (ulong seed in seeds)
        {
            IReadOnlyList<string> found = PlanProperties.Violations(seed, out bool refused);
            sites++;
            refusals += refused ? 1 : 0;
            wrong.AddRange(found.Take(3).Select(one => $"seed {seed}: {one}"));
        }

        foreach (string one in wrong.Take(12))
        {
            run.Say($"  {one}");
        }

        return new Figure(name, wrong.Count, $"{sites} random sites ({which}), {refusals} refused with a remedy");
    }
}
