using System.Collections.Concurrent;
using Hillrow.Checks;
using Hillrow.Imaging;
using Hillrow.Reconstruction;
using Hillrow.TestSupport;

namespace Hillrow.Validation.Reconstruction;

/// <summary>Real pictures without positions, laid onto loosely surveyed points; each point left out in turn.</summary>
public sealed class KiteFigures : FigureSource
{
    public override string Area => "reconstruction";

    public override int Order => 30;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        if (RepositoryFiles.OpenData("kite-farmland") is not { } folder)
        {
            yield break;
        }

        KiteFlight kite = new(folder);
        ReconstructionSettings settings = new() { MeasureSurface = false };

        // The pictures are the same whichever point is left out: their spots are looked for once.
        ConcurrentDictionary<string, PictureFeatures> spots = new();
        ReconstructionInput Input(string? leftOut)
        {
            ReconstructionInput input = kite.Input(leftOut);
            return input with
            {
                FindFeatures = capture =>
                    spots.GetOrAdd(capture.Id, _ => SurveyFeatures.InFrame(input, capture, settings)),
            };
        }

        ReconstructionFigures all = ReconstructionStage.Run(Input(null), settings).Figures;
        string how = FormattableString.Invariant(
            $"../shared/opendata/kite-farmland: {all.Captures} pictures of 16 megapixels without positions; {all.TiePoints} points, {all.Sights} sights, ground sample {all.GroundSampleMetres:F3} m; control points missed by {all.Control.ControlRmseHorizontalMetres:F2} m in plan, {all.Control.ControlRmseVerticalMetres:F2} m in height"
        );
        yield return new Figure("kite.placedShare", (double)all.CapturesPlaced / all.Captures, how);
        yield return new Figure("kite.reprojectionPixels", all.ReprojectionAfterPixels, how);
        yield return new Figure("kite.matchesKeptShare", all.SightsKeptShare, how);
        if (run.Quick)
        {
            yield break;
        }

        List<double> plan = [];
        List<double> up = [];
        foreach (string point in kite.Judging)
        {
            ControlFigures control = ReconstructionStage.Run(Input(point), settings).Figures.Control;
            run.Say(
                FormattableString.Invariant(
                    $"point {point} left out: {control.CheckRmseHorizontalMetres:F2} m in plan, {control.CheckRmseVerticalMetres:F2} m in height"
                )
            );
            plan.Add(control.CheckRmseHorizontalMetres);
            up.Add(control.CheckRmseVerticalMetres);
        }

        yield return new Figure(
            "kite.leftOutHorizontalMetres",
            Math.Sqrt(plan.Average(value => value * value)),
            $"rms over {plan.Count} points, each left out in turn; three hold the survey then, and are loose themselves"
        );
        yield return new Figure(
            "kite.leftOutVerticalMetres",
            Math.Sqrt(up.Average(value => value * value)),
            "the same"
        );
    }
}
