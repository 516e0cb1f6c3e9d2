using Hillrow.Checks;

namespace Hillrow.Validation.Reconstruction;

/// <summary>Planted troubles. Judging seeds: docs/decisions/0043; tuning used seeds below 100.</summary>
public sealed class TroubleFigures : FigureSource
{
    public override string Area => "reconstruction";

    public override int Order => 20;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ulong[] seeds = run.Quick ? [run.DrawnSeed] : [4321, 4322, run.DrawnSeed];
        int misplaced = 0;
        int lost = 0;
        int unnamed = 0;
        double worst = 0;
        foreach (ulong seed in seeds)
        {
            foreach (SimulatedTrouble trouble in SimulatedTroubles.All(seed))
            {
                TroubleVerdict verdict = SimulatedTroubles.Judge(trouble);
                run.Say(
                    FormattableString.Invariant(
                        $"seed {seed}, {trouble.Name}: {verdict.Placed} of {verdict.Captures} placed, {verdict.Misplaced} misplaced, {verdict.Lost} lost, {verdict.Unnamed} unnamed, worst {verdict.WorstGsd:F1} samples; {verdict.Said}"
                    )
                );
                misplaced += verdict.Misplaced;
                lost += verdict.Lost;
                unnamed += verdict.Unnamed;
                worst = Math.Max(worst, verdict.WorstGsd);
            }
        }

        string how = FormattableString.Invariant(
            $"hole, water with glitter, three kinds of wrong positions, two parts; {seeds.Length} seeds, one drawn ({run.DrawnSeed}); farthest placed capture {worst:F1} samples off"
        );
        yield return new Figure("robust.misplacedCaptures", misplaced, how);
        yield return new Figure("robust.lostCaptures", lost, how);
        yield return new Figure("robust.unnamedTroubles", unnamed, how);
    }
}
