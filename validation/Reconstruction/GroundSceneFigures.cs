using Hillrow.Checks;
using Hillrow.TestSupport;

namespace Hillrow.Validation.Reconstruction;

/// <summary>The ground below canopies of known scenes.</summary>
public sealed class GroundSceneFigures : FigureSource
{
    public override string Area => "reconstruction";

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        CheckTally tally = GroundChecks.Scenes();
        yield return new Figure(
            "ground.checkScenes.shareHolding",
            tally.ShareHolding,
            $"{tally.CaseCount} scenes, rms and bias of the ground against their bounds; {tally.Report()}"
        );
    }
}
