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
        int refusals = 0;
        List<string> wrong = [];
        for (int site = 0; site < sites; site++)
        {
            ulong seed = site % 5 == 4 ? run.DrawnSeed + (ulong)site : (ulong)site;
            IReadOnlyList<string> found = PlanProperties.Violations(seed, out bool refused);
            refusals += refused ? 1 : 0;
            wrong.AddRange(found.Take(3).Select(one => $"seed {seed}: {one}"));
        }

        foreach (string one in wrong.Take(12))
        {
            run.Say($"  {one}");
        }

        yield return new Figure(
            "properties.violations",
            wrong.Count,
            $"{sites} random sites (12 of 60 drawn from {run.DrawnSeed}), {refusals} refused with a remedy"
        );
        IReadOnlyList<string> refused6 = PlanRefusalCases.Wrong();
        foreach (string one in refused6)
        {
            run.Say($"  {one}");
        }

        yield return new Figure("refusals.wrong", refused6.Count, "6 cases, each with its remedy tried out");
    }
}
