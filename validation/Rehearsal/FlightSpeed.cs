using System.Diagnostics;
using System.Runtime.InteropServices;
using System.Security.Cryptography;
using Hillrow.Rehearsal;

namespace Hillrow.Validation.Rehearsal;

/// <summary>Two flights of 40 captures, full size: time, memory, and the same bytes for one and two threads.</summary>
public sealed class FlightSpeed : FigureSource
{
    public override string Area => "rehearsal";

    public override int Order => 2;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        int threads = Math.Min(2, Environment.ProcessorCount);
        EstateSettings settings = new() { Seed = run.DrawnSeed % 1000 };
        Stopwatch watch = Stopwatch.StartNew();
        TimeSpan work = Process.GetCurrentProcess().TotalProcessorTime;
        int captures = 0;
        double flying = 0;
        double worked = 0;
        int perLine = run.Quick ? 1 : 10;
        List<string> twoThreads = [];
        IReadOnlyList<PlannedCapture> plan = [];
        for (int date = 0; date < 2; date++)
        {
            (ModelledScene scene, _) = RehearsedDay.Build(settings, date, Clouds(date), [], threads);
            run.Say($"  date {date + 1}: estate and light after {watch.Elapsed.TotalSeconds:F0} s");
            plan = FlightLines.Over(HillsideTerrain.Smooth(settings), 0, 0, 66, 4, perLine, 24, 0.8, 0.7);
            TimeSpan before = watch.Elapsed;
            TimeSpan workBefore = Process.GetCurrentProcess().TotalProcessorTime;
            Flight(scene, threads)
                .Fly(
                    plan,
                    capture =>
                    {
                        captures++;
                        if (date == 1 && capture.Number <= 3)
                        {
                            twoThreads.Add(Digest(capture));
                        }
                    }
                );
            flying += (watch.Elapsed - before).TotalSeconds;
            worked += (Process.GetCurrentProcess().TotalProcessorTime - workBefore).TotalSeconds;
            if (date == 1)
            {
                double seconds = watch.Elapsed.TotalSeconds;
                double busy = (Process.GetCurrentProcess().TotalProcessorTime - work).TotalSeconds;
                double scale = 80.0 / captures;
                double whole = run.Quick ? seconds - flying + (flying * scale) : seconds;
                yield return new Figure(
                    "flights.secondsFor2x40Captures",
                    whole,
                    $"{captures} captures x 5 frames of {TrueRig.Columns} x {TrueRig.Rows}, 4 rays a pixel, {threads} threads, {busy:F0} processor seconds{(run.Quick ? ", scaled to 80 captures" : "")}"
                );
                yield return new Figure(
                    "flights.processorSecondsFor2x40Captures",
                    run.Quick ? busy - worked + (worked * scale) : busy,
                    "all processors together, other programs' share left out: half of it is the time on two idle cores"
                );
                yield return new Figure(
                    "memory.peakGiB",
                    Process.GetCurrentProcess().PeakWorkingSet64 / (1024.0 * 1024 * 1024),
                    "peak working set of the process that modelled the estate twice and flew it"
                );
                List<string> oneThread = [];
                // The same plan: a shorter one would end the line sooner, and with it the last capture's speed.
                Flight(scene, 1).Fly(plan, capture => oneThread.Add(Digest(capture)), number => number <= 3);
                yield return new Figure(
                    "threads.differingCaptures",
                    twoThreads.Zip(oneThread).Count(pair => pair.First != pair.Second),
                    $"{Math.Min(twoThreads.Count, oneThread.Count)} captures: all bytes and readings with 1 and {threads} threads"
                );
            }
        }
    }

    private static CloudField Clouds(int date) => date == 0 ? CloudField.None : new CloudField(0.35, 6, 3, 0.25, 4);

    private static RehearsalFlight Flight(ModelledScene scene, int threads) =>
        new(
            scene,
            TrueRig.Build(1),
            IrradianceSensor.Build(1),
            EstatePlace.InventedValley,
            new RehearsalFlightSettings(21, new DateTimeOffset(2026, 4, 12, 14, 0, 0, TimeSpan.Zero))
            {
                Threads = threads,
            }
        );

    private static string Digest(RehearsalCapture capture) =>
        string.Join(
            ' ',
            capture.Frames.Select(frame => Convert.ToHexString(SHA256.HashData(MemoryMarshal.AsBytes(frame.AsSpan()))))
        )
        + capture.ReportedPlace
        + string.Join(' ', capture.Irradiance)
        + string.Join(' ', capture.Exposures);
}
