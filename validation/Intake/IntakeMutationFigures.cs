using Hillrow.Imaging;
using Hillrow.Intake;
using Hillrow.Numerics;
using Hillrow.TestSupport;
using Hillrow.Validation.Ground;

namespace Hillrow.Validation.Intake;

/// <summary>Damaged files on the way from the card: each is told in one line, none stops the intake.</summary>
/// <remarks>The good files are those of a rehearsed flight, one for every dialect (cut to a light size), and a JPEG of each kind.</remarks>
public sealed class IntakeMutationFigures : FigureSource
{
    private const int Mutations = 10_000;
    private const long MostAllocated = 1L << 30;
    private static readonly TimeSpan Hang = TimeSpan.FromMinutes(2);

    public override string Area => "intake";

    public override int Order => 90;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        int goal = run.Quick ? Mutations / 10 : Mutations;
        List<(CameraProfile Profile, SampleFile File)> seeds = MutationSeeds.All(
            IntakeFlights.Seeds(run).Select(seed => IntakeFlights.Of(seed, run)),
            run.ScratchFolder
        );
        int faults = 0;
        int done = 0;
        int told = 0;
        long most = 0;
        string current = "";
        void Fault(string what)
        {
            faults++;
            if (faults <= 20)
            {
                run.Say($"  FAULT {what}");
            }
        }

        Thread worker = new(() =>
        {
            for (int at = 0; at < goal; at++)
            {
                // The last tenth is drawn afresh at each run.
                int seed = at < goal * 9 / 10 ? at : unchecked((int)run.DrawnSeed + at);
                (CameraProfile profile, SampleFile good) = seeds[at % seeds.Count];
                current = FormattableString.Invariant($"mutation {seed} of {good.Name}");
                byte[] spoilt = new ByteMutator(seed).Spoil(good.Bytes);
                long before = GC.GetAllocatedBytesForCurrentThread();
                try
                {
                    CardFileReading reading = CardFileReading.Of(profile, good.Name, spoilt);
                    told += reading.Problems.Count > 0 ? 1 : 0;
                    foreach (string line in reading.Problems)
                    {
                        if (line.Length > 1000 || line.AsSpan().ContainsAny('\n', '\r', '\0'))
                        {
                            Fault($"{current}: not one line: {line}");
                        }
                    }
                }
                catch (Exception fault)
                {
                    Fault($"{current}: {fault.GetType().Name}: {fault.Message} {fault.StackTrace}");
                }

                long allocated = GC.GetAllocatedBytesForCurrentThread() - before;
                most = Math.Max(most, allocated);
                if (allocated > MostAllocated)
                {
                    Fault(FormattableString.Invariant($"{current}: allocated {allocated} bytes"));
                }

                Volatile.Write(ref done, at + 1);
            }
        })
        {
            IsBackground = true,
        };
        worker.Start();
        (int Done, DateTime Since) seen = (-1, DateTime.UtcNow);
        while (!worker.Join(TimeSpan.FromMilliseconds(200)))
        {
            int now = Volatile.Read(ref done);
            if (now != seen.Done)
            {
                seen = (now, DateTime.UtcNow);
            }
            else if (DateTime.UtcNow - seen.Since > Hang)
            {
                Fault($"{current} has not ended after {Hang.TotalMinutes:0} minutes");
                break;
            }
        }

        yield return new Figure(
            "mutations.count",
            done,
            $"of {seeds.Count} good files: {string.Join(", ", seeds.Select(seed => seed.File.Name))}; one tenth drawn at this run"
        );
        yield return new Figure(
            "mutations.faults",
            faults,
            FormattableString.Invariant(
                $"crash, hang, more than 1 GiB allocated, or more than one line; {told} files told as damaged or foreign, at most {most / 1048576.0:0.0} MiB a file"
            )
        );
    }
}
