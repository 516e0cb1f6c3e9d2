using Hillrow.Checks;
using Hillrow.TestSupport;

namespace Hillrow.Validation.Ground;

/// <summary>Share of the camera, picture and radiometry cases of the check-value book that hold.</summary>
public sealed class ImagingCheckFigures : FigureSource
{
    public override string Area => "ground";

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        yield return CheckShare.Of("checks.cameraGeometry.shareHolding", CameraGeometryChecks.All());
        yield return CheckShare.Of("checks.imageProcessing.shareHolding", ImageProcessingChecks.All());
        yield return CheckShare.Of("checks.radiometry.shareHolding", RadiometryChecks.All());
    }
}

/// <summary>Tallies of several groups of cases as one share.</summary>
public static class CheckShare
{
    public static Figure Of(string name, IReadOnlyList<CheckTally?> tallies)
    {
        if (tallies.Contains(null))
        {
            return new Figure(name, double.NaN, "reference data that may not be copied are not on this machine");
        }

        int cases = tallies.Sum(tally => tally!.CaseCount);
        double holding = tallies.Sum(tally => tally!.CaseCount * tally.ShareHolding);
        int comparisons = tallies.Sum(tally => tally!.Comparisons);
        string failing = string.Join("; ", tallies.SelectMany(tally => tally!.Failures).Take(3));

        // A sum of shares can miss 1 by rounding; the count of cases is whole.
        double share = cases == 0 ? 0 : Math.Round(holding) / cases;
        return new Figure(
            name,
            share,
            $"{cases} cases, {comparisons} comparisons with tests/Reference{(failing.Length > 0 ? $"; failing: {failing}" : "")}"
        );
    }
}
