using Hillrow.Checks;
using Hillrow.Numerics;
using Hillrow.Numerics.Statistics;
using Hillrow.Reconstruction;
using Hillrow.Rehearsal;

namespace Hillrow.Validation.Reconstruction;

/// <summary>
/// Where poses put the true ground, on rehearsed flights of two dates: with five control points, without any, and date
/// against date. The scale of a flight without control is the receiver's and is not judged here.
/// </summary>
public sealed class RehearsedPlaceFigures : FigureSource
{
    private const int ControlPoints = 5;

    /// <summary>As high as the flights are over the ground.</summary>
    private const double BandDistanceMetres = 65;

    public override string Area => "reconstruction";

    public override int Order => 50;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        List<double> horizontal = [];
        List<double> vertical = [];
        List<double> doming = [];
        List<double> betweenHorizontal = [];
        List<double> betweenVertical = [];
        List<TargetTally> targets = [];
        List<double> bands = [];
        ReconstructionSettings settings = new() { MeasureSurface = false };
        foreach (ulong seed in RehearsedFlights.Seeds(run))
        {
            IReadOnlyList<RehearsedSurvey> dates = RehearsedFlights.Fly(run, seed, dates: 2);
            ReconstructionResult held = ReconstructionStage.Run(dates[0].WithControl(ControlPoints), settings);
            double sample = held.Figures.GroundSampleMetres;
            IReadOnlyList<(Vector3D At, Vector3D Off)> off = dates[0].PlaceErrors(held.Geometry!);
            horizontal.Add(Plan(off.Select(entry => entry.Off)) / sample);
            vertical.Add(Up(off.Select(entry => entry.Off)) / sample);

            // The boards are looked for when poses are as they are without control; what they hold then is not judged here.
            targets.Add(
                TargetTally.Of(dates[0], ReconstructionStage.Run(dates[0].WithUnmarkedControl(), settings).FoundMarks)
            );
            ReconstructionResult first = ReconstructionStage.Run(dates[0].Input, settings);
            ReconstructionResult second = ReconstructionStage.Run(
                dates[1].Input with
                {
                    Earlier = [first.Landmarks!],
                },
                settings
            );
            IReadOnlyList<(Vector3D At, Vector3D Off)> before = dates[0].PlaceErrors(first.Geometry!);
            Dictionary<Vector3D, Vector3D> earlier = before.ToDictionary(entry => entry.At, entry => entry.Off);
            Vector3D[] between =
            [
                .. dates[1]
                    .PlaceErrors(second.Geometry!)
                    .Where(entry => earlier.ContainsKey(entry.At))
                    .Select(entry => entry.Off - earlier[entry.At]),
            ];
            doming.Add(PlaneMiss.Percentile98(before) / sample);
            betweenHorizontal.Add(Plan(between) / sample);
            betweenVertical.Add(Up(between) / sample);
            double[] apart = [.. dates[0].BandErrors(first.Geometry!, BandDistanceMetres)];
            bands.AddRange(apart);
            run.Say(
                FormattableString.Invariant(
                    $"seed {seed}: bands {Math.Sqrt(apart.Average(value => value * value)):F3} px rms, {Quantiles.Quantile(apart, 0.95):F3} px at 95 %"
                )
            );
            run.Say(
                FormattableString.Invariant(
                    $"seed {seed}: {held.Figures.Captures} captures; with control {horizontal[^1]:F2} / {vertical[^1]:F2} (mean up {off.Average(entry => entry.Off.Z):F3} m), doming {doming[^1]:F2}, between dates {betweenHorizontal[^1]:F2} / {betweenVertical[^1]:F2} ground samples ({second.Figures.Earlier.Spots} spots found again); targets {targets[^1]}"
                )
            );
        }

        string how =
            $"{RehearsedFlights.How(run)}; receiver error drifting by about a metre; true ground every 2 m put through true and solved cameras";
        string held5 = $"{how}; {ControlPoints} control points of 1.5/2.5 cm, marks 0.35 px, nothing taken off";
        yield return new Figure("withControl.horizontalRmsGsd", horizontal.Max(), held5);
        yield return new Figure("withControl.verticalRmsGsd", vertical.Max(), held5);
        yield return new Figure(
            "withoutControl.domingGsd",
            doming.Max(),
            $"{how}; 98 % of the heights lie nearer to a tilted plane"
        );
        yield return new Figure("twoDates.horizontalGsd", betweenHorizontal.Max(), $"{how}; no control");
        yield return new Figure("twoDates.verticalGsd", betweenVertical.Max(), $"{how}; no control");
        string apartHow =
            $"{how.Replace("; worst", "; all together", StringComparison.Ordinal)}; places all over the frame through true and solved lenses, four bands against near infrared";
        yield return new Figure("bands.misalignmentRmsPx", Math.Sqrt(bands.Average(value => value * value)), apartHow);
        yield return new Figure("bands.misalignment95Px", Quantiles.Quantile([.. bands], 0.95), apartHow);
        string boards = $"{how.Replace("; worst", "; all together", StringComparison.Ordinal)}; boards without marks";
        yield return new Figure(
            "targets.foundShare",
            targets.Sum(tally => tally.Found) / (double)targets.Sum(tally => tally.Seen),
            FormattableString.Invariant(
                $"{boards}; of {targets.Sum(tally => tally.Seen)} boards in four frames or more those with two marks, all within {TargetTally.NearPixels} px"
            )
        );
        int marks = targets.Sum(tally => tally.Marks);
        yield return new Figure(
            "targets.wrongShare",
            marks == 0 ? double.NaN : targets.Sum(tally => tally.Wrong) / (double)marks,
            FormattableString.Invariant($"{boards}; of {marks} marks")
        );
    }

    private static double Plan(IEnumerable<Vector3D> off) =>
        Math.Sqrt(off.Average(entry => (entry.X * entry.X) + (entry.Y * entry.Y)));

    private static double Up(IEnumerable<Vector3D> off) => Math.Sqrt(off.Average(entry => entry.Z * entry.Z));
}
