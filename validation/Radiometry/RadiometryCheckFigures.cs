using Hillrow.Checks;

namespace Hillrow.Validation.Radiometry;

/// <summary>Share of the radiometry cases of the check-value book, and of the leaf spectra, that hold.</summary>
public sealed class RadiometryCheckFigures : FigureSource
{
    public override string Area => "radiometry";

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        yield return Ground.CheckShare.Of("checks.radiometry.shareHolding", RadiometryChecks.All());
        yield return Ground.CheckShare.Of("checks.leafSpectra.shareHolding", [LeafSpectra.All()]);
    }
}
