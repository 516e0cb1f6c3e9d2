using System.Diagnostics;
using Hillrow.Reconstruction;

namespace Hillrow.Validation.Reconstruction;

/// <summary>The whole room on one long flight: time against the flight's own, a quarter of it against the whole, memory.</summary>
public sealed class LongFlightFigures : FigureSource
{
    private const int Few = 200;

    public override string Area => "reconstruction";

    public override int Order => 80;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        if (run.Quick)
        {
            yield break;
        }

        LongFlight flight = LongFlight.Of(run);
        RehearsedSurvey survey = RehearsedSurvey.Open(flight.Estate, flight.Day);
        ReconstructionInput all = survey.WithControl(5);

        // The machine code is made, and the files are read, before the clock runs.
        _ = Taken(run, all, 12);
        Took few = Taken(run, all, Few);
        double peakFew = LongFlight.PeakGigabytes();
        Took many = Taken(run, all, all.Captures.Count);
        yield return new Figure(
            "speed.shareOfFlight",
            many.Seconds / (many.Captures * LongFlight.SecondsPerCapture),
            FormattableString.Invariant(
                $"{many.Captures} captures, one every {LongFlight.SecondsPerCapture} s, {Environment.ProcessorCount} threads: {many.Seconds:F0} s by the clock, {many.ProcessorSeconds:F0} processor seconds"
            )
        );
        yield return new Figure(
            "speed.perCapture800To200",
            many.ProcessorSeconds / many.Captures / (few.ProcessorSeconds / few.Captures),
            FormattableString.Invariant(
                $"processor seconds a capture: {few.ProcessorSeconds / few.Captures:F3} at {few.Captures}, {many.ProcessorSeconds / many.Captures:F3} at {many.Captures}"
            )
        );
        yield return new Figure(
            "speed.peakGigabytes",
            LongFlight.PeakGigabytes(),
            FormattableString.Invariant(
                $"VmHWM of this process, GiB, {many.Captures} captures; {peakFew:F2} after {few.Captures}"
            )
        );
    }

    private static Took Taken(ValidationRun run, ReconstructionInput all, int captures)
    {
        TimeSpan before = Environment.CpuUsage.TotalTime;
        Stopwatch watch = Stopwatch.StartNew();
        ReconstructionResult result = ReconstructionStage.Run(
            all with
            {
                Captures = [.. all.Captures.Take(captures)],
            },
            new ReconstructionSettings()
        );
        Took took = new(
            Math.Min(captures, all.Captures.Count),
            watch.Elapsed.TotalSeconds,
            (Environment.CpuUsage.TotalTime - before).TotalSeconds
        );
        run.Say(
            FormattableString.Invariant(
                $"  {took.Captures} captures ({result.Figures.CapturesPlaced} placed): {took.Seconds:F1} s, {took.ProcessorSeconds:F1} processor s"
            )
        );
        foreach (StepTime step in result.Figures.Seconds)
        {
            run.Say(
                FormattableString.Invariant(
                    $"    {step.Step, -20} {step.Seconds, 8:F1} s {step.ProcessorSeconds, 8:F1} processor s {step.ProcessorSeconds / step.Seconds, 5:F2} cores {step.ProcessorSeconds / took.Captures, 7:F3} processor s a capture"
                )
            );
        }

        return took;
    }

    private readonly record struct Took(int Captures, double Seconds, double ProcessorSeconds);
}
