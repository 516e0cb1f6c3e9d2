using Hillrow.Checks;

namespace Hillrow.Validation.Plants;

/// <summary>
/// Identities over two surveys, on seeds that nobody looked at while anything was tuned: docs/decisions/0042. Worst of
/// five seeds, one drawn at the run.
/// </summary>
public sealed class IdentityFigures : FigureSource
{
    private const ulong FirstSeed = 4101;
    private const ulong StumpedSeed = FirstSeed + 2;

    public override string Area => "plants";

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        ulong[] seeds = [FirstSeed, FirstSeed + 1, StumpedSeed, FirstSeed + 3, run.DrawnSeed];
        double right = 1;
        double same = 1;
        string wrong = "";
        foreach (ulong seed in seeds)
        {
            ModelledPlanting planting = new() { SideMetres = run.Quick ? 40 : 80, MarginMetres = 4 };
            IdentityScore score = IdentityScore.Of(planting, seed, seed % 2 == 0 ? 1.2 : 0, seed == StumpedSeed);
            run.Say(
                $"identity, seed {seed}: {score.ShareRight:F5} right, {score.ShareSameAfterRerun:F5} after a re-run"
            );
            right = Math.Min(right, score.ShareRight);
            same = Math.Min(same, score.ShareSameAfterRerun);
            wrong += score.Wrong.Count > 0 ? $" seed {seed}: {string.Join(", ", score.Wrong)};" : "";
        }

        string how =
            $"worst of seeds {FirstSeed} … {FirstSeed + 3} and one drawn ({run.DrawnSeed}): two surveys found and matched, 3 % dead, 3 % replanted 0.3 m off, one block stumped, even seeds shifted by 1.2 m;{wrong}";
        yield return new Figure("identity.shareRight", right, how);
        yield return new Figure("identity.shareSameAfterRerun", same, how);
    }
}
