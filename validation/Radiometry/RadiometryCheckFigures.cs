using Hillrow.Checks;

namespace Hillrow.Validation.Radiometry;

/// <summary>Share of the radiometry cases of the check-value book that hold.</summary>
public sealed class RadiometryCheckFigures : FigureSource
{
    public override string Area => "radiometry";

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        yield return Ground.CheckShare.Of("checks.radiometry.shareHolding", RadiometryChecks.All());
    }
}
