using System.Diagnostics;
using System.Globalization;
using Hillrow.Checks;
using Hillrow.Estate;
using Hillrow.Imaging;
using Hillrow.Intake;
using Hillrow.Rehearsal;

namespace Hillrow.Validation.Intake;

/// <summary>1,000 captures of five frames taken in: from warm cache, and through a card reader of 90 MB/s.</summary>
/// <remarks>
/// The card is one rehearsed flight flown again and again: every file has bytes of its own (name and time differ), of
/// 0.88 MB; smaller files than a full camera's make the work for each byte more. Each run is a process of its own that
/// tells its own peak (VmHWM) and its processor time.
/// </remarks>
public sealed class IntakeSpeedFigures : FigureSource
{
    /// <summary>First argument of the process that takes a card in and tells what it took.</summary>
    public const string ChildVerb = "take-card-in-and-tell";

    private const int CardBytesPerSecond = 90_000_000;
    private const int Bands = 5;

    /// <summary>The rehearsal's dialect whose captures are told apart by their files' names alone.</summary>
    private const ulong Seed = 3_313_586;

    public override string Area => "intake";

    public override int Order => 50;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        int captures = run.Quick ? 200 : 1000;
        FlownCard flown = IntakeFlights.Of(IntakeFlights.IsDevelopment ? 7_002 : Seed, run);
        string root = Roomiest(run.ScratchFolder);
        try
        {
            string card = Path.Combine(root, "card");
            long bytes = Build(flown, card, captures);
            run.Say(FormattableString.Invariant($"  card of {captures} captures, {bytes / 1e9:0.00} GB in {root}"));
            double plain = double.PositiveInfinity;
            Told best = new(double.PositiveInfinity, 0, 0, 0, 0, 0, 0);
            for (int turn = 0; turn < 3; turn++)
            {
                plain = Math.Min(plain, PlainRead(card));
                Told told = Child(run, flown, card, Path.Combine(root, $"warm-{turn}"), 0);
                run.Say(
                    FormattableString.Invariant(
                        $"  warm: {told.Seconds:0.0} s, {told.ProcessorSeconds:0.0} processor s, peak {told.PeakMegabytes:0} MB; plain read by two threads {plain:0.0} s"
                    )
                );
                best = told.Seconds < best.Seconds ? told : best;
            }

            yield return new Figure(
                "speed.megabytesPerSecond",
                bytes / 1e6 / best.Seconds,
                FormattableString.Invariant(
                    $"start to verdict, hashes included, best of 3, of {bytes / 1e9:0.00} GB in files of {bytes / 1e6 / best.Files:0.00} MB from warm cache (depends on the machine and on who else works on it); {best.Seconds / plain:0.0} x a plain read by two threads in the same run; {bytes / 1e6 / best.ProcessorSeconds:0} MB a processor second, so {2 * bytes / 1e6 / best.ProcessorSeconds:0} MB/s on two cores of its own"
                )
            );
            yield return new Figure(
                "speed.megabytesPerProcessorSecond",
                bytes / 1e6 / best.ProcessorSeconds,
                "of the same run, whoever else works on the machine; 250 is what 500 MB/s on two cores needs"
            );
            yield return new Figure("speed.captures", best.Captures, "found in the card of the speed figures");
            yield return new Figure(
                "speed.framesPerCapture",
                best.Captures == 0 ? 0 : best.Frames / (double)best.Captures,
                "of the same"
            );
            Told slow = Child(run, flown, card, Path.Combine(run.ScratchFolder, "copied"), CardBytesPerSecond);
            double transfer = bytes / (double)CardBytesPerSecond;
            yield return new Figure(
                "speed.peakGiB",
                Math.Max(best.PeakMegabytes, slow.PeakMegabytes) / 1024,
                "VmHWM of the process, the larger of warm cache and throttled card with copying"
            );
            yield return new Figure(
                "throttled.timeToTransfer",
                slow.Seconds / transfer,
                FormattableString.Invariant(
                    $"{slow.Seconds:0.0} s from start to verdict, copies written and flushed, to {transfer:0.0} s that {bytes / 1e9:0.00} GB take at 90 MB/s; {slow.ProcessorSeconds:0.0} processor s"
                )
            );
            yield return new Figure(
                "throttled.verdictSecondsAfterLastByte",
                slow.AfterLastByte,
                "same run; the verdict's page and looks on disk"
            );
        }
        finally
        {
            Directory.Delete(root, recursive: true);
        }
    }

    /// <summary>The child: takes a card in as `hillrow intake` does and prints what it took.</summary>
    public static int Child(string estateFolder, string card, string bytesPerSecond)
    {
        double rate = double.Parse(bytesPerSecond, CultureInfo.InvariantCulture);
        Stopwatch watch = Stopwatch.StartNew();
        ThrottledCard reader = new(rate > 0 ? rate : double.PositiveInfinity);
        EstateFolder estate = EstateFolder.Open(estateFolder);
        SurveyAdded added = SurveyAddition.Add(
            estate,
            [card],
            new SurveyWishes(new DateOnly(2026, 4, 12), null, null, rate <= 0) { Look = true },
            null,
            default,
            rate > 0 ? reader.Door : null
        );
        SurveyIntake taken = SurveyIntake.Of(estate, added);
        double seconds = watch.Elapsed.TotalSeconds;
        double after = rate > 0 ? (reader.Elapsed - reader.LastByteAt).TotalSeconds : 0;
        string peak = File.ReadLines("/proc/self/status")
            .First(line => line.StartsWith("VmHWM:", StringComparison.Ordinal))
            .Split(' ', StringSplitOptions.RemoveEmptyEntries)[^2];
        double processor = Process.GetCurrentProcess().TotalProcessorTime.TotalSeconds;
        if (taken.Check is null)
        {
            Console.Error.WriteLine(taken.WhyNoCheck);
            return 1;
        }

        Console.WriteLine(
            string.Create(
                CultureInfo.InvariantCulture,
                $"{seconds:R} {processor:R} {peak} {after:R} {taken.Intake.Captures.Count(one => one.Capture.Frames.Count == Bands)} {taken.Intake.Counts.FramesUsed} {added.Files}"
            )
        );
        return 0;
    }

    private sealed record Told(
        double Seconds,
        double ProcessorSeconds,
        double PeakMegabytes,
        double AfterLastByte,
        int Captures,
        int Frames,
        int Files
    );

    private static Told Child(ValidationRun run, FlownCard flown, string card, string estate, double rate)
    {
        using (Process copy = Process.Start("cp", ["-r", flown.EstateFolder, estate]))
        {
            copy.WaitForExit();
        }

        string text = OwnProcess.Run(ChildVerb, estate, card, rate.ToString(CultureInfo.InvariantCulture));
        Directory.Delete(estate, recursive: true);
        string line = text.Split('\n', StringSplitOptions.RemoveEmptyEntries)[^1];
        string[] parts = line.Split('\t', ' ');
        double Number(int at) => double.Parse(parts[at], CultureInfo.InvariantCulture);
        run.Say($"  told: {line}");
        return new Told(
            Number(0),
            Number(1),
            Number(2) / 1024,
            Number(3),
            (int)Number(4),
            (int)Number(5),
            (int)Number(6)
        );
    }

    /// <summary>Memory where there is room, so that no disk is measured; else the run's own scratch folder.</summary>
    private static string Roomiest(string scratch)
    {
        const long Needed = 12L << 30;
        const string Memory = "/dev/shm";
        bool room =
            Directory.Exists(Memory)
            && new DriveInfo(Memory).AvailableFreeSpace > Needed
            && GC.GetGCMemoryInfo().TotalAvailableMemoryBytes > Needed;
        return room
            ? Directory.CreateDirectory(Path.Combine(Memory, $"hillrow-intake-{Environment.ProcessId}")).FullName
            : Directory.CreateDirectory(Path.Combine(scratch, "speed")).FullName;
    }

    private static long Build(FlownCard flown, string card, int captures)
    {
        Directory.CreateDirectory(card);
        long bytes = 0;
        int survey = flown.Plan.Count;
        double whole = flown.Plan[^1].Seconds + 600;
        for (int capture = 0; capture < captures; capture++)
        {
            // Panels first and last, the flight again and again between them.
            int number =
                capture == 0 ? 1
                : capture == captures - 1 ? flown.Captures
                : 2 + ((capture - 1) % survey);
            int lap = capture == captures - 1 ? (captures - 3) / survey : Math.Max(0, capture - 1) / survey;
            IReadOnlyList<string> from = flown.Dialect.FilesOf(number);
            IReadOnlyList<string> to = flown.Dialect.FilesOf(capture + 1);
            for (int band = 0; band < from.Count; band++)
            {
                string target = Path.Combine(card, to[band]);
                File.Copy(Path.Combine(flown.CardFolder, from[band]), target);
                CardFileEdit.Do(target, file => file.ShiftClock(TimeSpan.FromSeconds(Math.Round(lap * whole))));
                bytes += new FileInfo(target).Length;
            }
        }

        return bytes;
    }

    /// <summary>The same bytes by two threads, thrown away.</summary>
    private static double PlainRead(string card)
    {
        string[] files = Directory.GetFiles(card, "*", SearchOption.AllDirectories);
        Stopwatch watch = Stopwatch.StartNew();
        Parallel.ForEach(
            files,
            new ParallelOptions { MaxDegreeOfParallelism = 2 },
            () => new byte[1 << 20],
            (file, _, buffer) =>
            {
                using FileStream stream = new(file, FileMode.Open, FileAccess.Read, FileShare.Read, 1);
                while (stream.Read(buffer) > 0) { }

                return buffer;
            },
            _ => { }
        );
        return watch.Elapsed.TotalSeconds;
    }
}
