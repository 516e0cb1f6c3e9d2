using System.Diagnostics;
using Hillrow.Reconstruction;
using Hillrow.Rehearsal;

namespace Hillrow.Validation.Reconstruction;

/// <summary>
/// Surface, crown tops and ground of rehearsed flights on control points, against the truth; and how long the room took.
/// </summary>
/// <remarks>
/// Judged by drawn seeds only; seed 1 (the demo) is the development set. A crown's top is the highest mean of 3 × 3 cells
/// of canopy height within 0.6 crown radii of the stem; plants over which something taller stands are left out, as their
/// own top is not seen. Open ground is where nothing stands within half a metre.
/// </remarks>
public sealed class RehearsedSurfaceFigures : FigureSource
{
    private const int ControlPoints = 5;

    public override string Area => "reconstruction";

    public override int Order => 60;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        List<SurfaceMiss> misses = [];
        double slowest = 0;
        foreach (ulong seed in RehearsedFlights.Seeds(run))
        {
            RehearsedSurvey survey = RehearsedFlights.Fly(run, seed, dates: 1)[0];
            Stopwatch watch = Stopwatch.StartNew();
            ReconstructionResult result = ReconstructionStage.Run(
                survey.WithControl(ControlPoints),
                new ReconstructionSettings { Threads = 2 }
            );
            double share = watch.Elapsed.TotalSeconds / survey.FlightSeconds;
            slowest = Math.Max(slowest, share);
            SurfaceMiss miss = SurfaceMiss.Of(survey, result);
            misses.Add(miss);
            run.Say(
                FormattableString.Invariant(
                    $"seed {seed}: open ground {miss.OpenGroundRms:F3} m, crown tops {miss.TopBiasShare:P1} of {miss.Tops} plants, ground in open rows {miss.GroundSeenRms:F3} m, unseen {miss.GroundUnseenRms:F3} m ({miss.UnseenCells} cells), 90 % intervals of heights hold {miss.Covered:P1}, {share:F2} of the flight"
                )
            );
        }

        string how = $"{RehearsedFlights.How(run)}; first date, {ControlPoints} control points";
        yield return new Figure("surface.rmsOpenGroundGsd", misses.Max(miss => miss.OpenGroundRms / miss.Sample), how);
        yield return new Figure("surface.crownTopBiasShare", misses.Max(miss => Math.Abs(miss.TopBiasShare)), how);
        yield return new Figure("ground.openRowsRmsMetres", misses.Max(miss => miss.GroundSeenRms), how);
        RehearsedSurvey closed = RehearsedFlights.FlyClosedCanopy(run);
        SurfaceMiss under = SurfaceMiss.Of(
            closed,
            ReconstructionStage.Run(closed.WithControl(ControlPoints), new ReconstructionSettings { Threads = 2 })
        );
        yield return new Figure(
            "ground.closedCanopyRmsMetres",
            under.GroundUnseenRms,
            FormattableString.Invariant(
                $"an estate of 2 ha with a closed hedgerow, {closed.Input.Captures.Count} captures from 65 m, {ControlPoints} control points; {under.UnseenCells} cells marked as not seen; seen ones {under.GroundSeenRms:F3} m, open ground {under.OpenGroundRms:F3} m, crown tops {under.TopBiasShare:P1} of {under.Tops}"
            )
        );
        yield return new Figure(
            "speed.shareOfShortFlight",
            slowest,
            how + "; two threads on this machine as busy as it is; flights this short weigh fixed costs heavily"
        );
    }
}
