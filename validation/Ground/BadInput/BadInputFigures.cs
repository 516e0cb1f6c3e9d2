using Hillrow.Numerics;
using Hillrow.TestSupport;

namespace Hillrow.Validation.Ground;

/// <summary>Bad input to every reader: one clear line each, and no crash, hang or hunger under mutation.</summary>
public sealed class BadInputFigures : FigureSource
{
    private const int MutationsPerReader = 2_000;

    // A call on a file of kilobytes takes milliseconds; two minutes is a hang on any machine, not a slow moment.
    private static readonly TimeSpan Hang = TimeSpan.FromMinutes(2);

    public override string Area => "ground";

    public override int Order => 50;

    /// <summary>Every registered reader, by name.</summary>
    public static IReadOnlyList<ReaderUnderMutation> Readers { get; } =
    [
        .. typeof(ReaderUnderMutation)
            .Assembly.GetTypes()
            .Where(type => type.IsSubclassOf(typeof(ReaderUnderMutation)) && !type.IsAbstract)
            .Select(type => (ReaderUnderMutation)Activator.CreateInstance(type)!)
            .OrderBy(reader => reader.Name, StringComparer.Ordinal),
    ];

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        int unclear = 0;
        int files = 0;
        int faults = 0;
        int least = int.MaxValue;
        int goal = run.Quick ? MutationsPerReader / 10 : MutationsPerReader;
        foreach (ReaderUnderMutation reader in Readers)
        {
            MutationRun work = new(reader, run, goal);
            Thread worker = new(work.Run) { IsBackground = true, Name = reader.Name };
            worker.Start();
            (int Done, DateTime Since) seen = (-1, DateTime.UtcNow);
            while (!worker.Join(TimeSpan.FromMilliseconds(200)))
            {
                int done = work.CallsEnded;
                if (done != seen.Done)
                {
                    seen = (done, DateTime.UtcNow);
                }
                else if (DateTime.UtcNow - seen.Since > Hang)
                {
                    work.Fault($"call {done} ({work.Current}) has not ended after {Hang.TotalMinutes:0} minutes");
                    break;
                }
            }

            files += work.BadFiles;
            unclear += work.Unclear;
            faults += work.Faults;
            least = Math.Min(least, work.Mutations);
            run.Say(
                FormattableString.Invariant(
                    $"  {reader.Name}: {work.BadFiles} bad files, {work.Unclear} lines not clear; {work.Mutations} mutations ({work.Refused} refused), {work.Faults} faults, at most {work.MostAllocated / 1048576.0:0.0} MiB a call"
                )
            );
        }

        string readers = string.Join(", ", Readers.Select(reader => reader.Name));
        yield return new Figure("badInput.linesNotClear", unclear, $"{files} hand-made bad files over: {readers}");
        yield return new Figure(
            "badInput.mutationFaults",
            faults,
            FormattableString.Invariant(
                $"crash, hang, allocation above the limit, or a line not clear; {goal} each, nine tenths from fixed seeds, one tenth drawn at this run"
            )
        );
        yield return new Figure("badInput.mutationsPerReader", least, $"least over {Readers.Count} readers");
    }

    private sealed class MutationRun(ReaderUnderMutation reader, ValidationRun run, int goal)
    {
        private int callsEnded;

        public int CallsEnded => Volatile.Read(ref callsEnded);

        public string Current { get; private set; } = "";

        public int BadFiles { get; private set; }

        public int Unclear { get; private set; }

        public int Mutations { get; private set; }

        public int Refused { get; private set; }

        public int Faults { get; private set; }

        public long MostAllocated { get; private set; }

        public void Fault(string what)
        {
            Faults++;
            if (Faults <= 20)
            {
                run.Say($"  FAULT {reader.Name}: {what}");
            }
        }

        public void Run()
        {
            try
            {
                IReadOnlyList<SampleFile> seeds = reader.Seeds();
                foreach (SampleFile seed in seeds)
                {
                    Current = $"the good file {seed.Name}";
                    if (Call(seed) is { } complaint)
                    {
                        Fault($"refuses its good file {seed.Name}: {complaint.Message}");
                    }
                }

                foreach (SampleFile bad in HandMade(seeds[0]))
                {
                    Current = $"the bad file {bad.Name}";
                    BadFiles++;
                    InputProblemException? complaint = Call(bad);
                    if (complaint is null)
                    {
                        Unclear++;
                        run.Say($"  UNCLEAR {reader.Name}: takes {bad.Name} without a word");
                    }
                    else if (!IsClear(complaint, bad.Name))
                    {
                        Unclear++;
                        run.Say($"  UNCLEAR {reader.Name}, {bad.Name}: {complaint.Message}");
                    }
                }

                for (int i = 0; i < goal; i++)
                {
                    // The last tenth is drawn afresh at each run; its seed is printed with the run.
                    int seed = i < goal * 9 / 10 ? i : unchecked((int)run.DrawnSeed + i);
                    SampleFile good = seeds[i % seeds.Count];
                    Current = FormattableString.Invariant($"mutation {seed} of {good.Name}");
                    if (Call(good with { Bytes = new ByteMutator(seed).Spoil(good.Bytes) }) is { } complaint)
                    {
                        Refused++;
                        if (!IsClear(complaint, good.Name))
                        {
                            Fault($"{Current}: line not clear: {complaint.Message}");
                        }
                    }

                    Mutations++;
                }
            }
            catch (Exception fault) when (fault is not OutOfMemoryException)
            {
                Fault($"cannot be tried: {fault}");
            }
        }

        private IEnumerable<SampleFile> HandMade(SampleFile seed)
        {
            yield return new SampleFile("empty-" + seed.Name, []);
            if (reader.RefusesHalf)
            {
                yield return new SampleFile("half-" + seed.Name, seed.Bytes[..(seed.Bytes.Length / 2)]);
            }

            yield return new SampleFile(
                "wrong-magic-" + seed.Name,
                [.. "\u0001\u0002 not this at all "u8, .. new byte[64]]
            );
            foreach (SampleFile bad in reader.BadFiles())
            {
                yield return bad;
            }
        }

        /// <summary>Null when the reader was content.</summary>
        private InputProblemException? Call(SampleFile file)
        {
            string path = Path.Combine(run.ScratchFolder, file.Name);
            if (reader.NeedsFile)
            {
                File.WriteAllBytes(path, file.Bytes);
            }

            long before = GC.GetTotalAllocatedBytes();
            InputProblemException? complaint = null;
            try
            {
                reader.Read(file.Bytes, path);
            }
            catch (InputProblemException problem)
            {
                complaint = problem;
            }
            catch (Exception fault)
            {
                Fault($"{Current}: {fault.GetType().Name}: {fault.Message} {fault.StackTrace}");
            }

            long allocated = GC.GetTotalAllocatedBytes() - before;
            MostAllocated = Math.Max(MostAllocated, allocated);
            if (allocated > reader.AllocationLimitBytes)
            {
                Fault(FormattableString.Invariant($"{Current}: allocated {allocated} bytes"));
            }

            Interlocked.Increment(ref callsEnded);
            return complaint;
        }

        /// <summary>One line of bearable length that names the file, says what, and how to mend it.</summary>
        private static bool IsClear(InputProblemException complaint, string fileName) =>
            complaint.Message.Contains(fileName, StringComparison.Ordinal)
            && complaint.Message.Length is > 20 and < 600
            && !complaint.Message.AsSpan().ContainsAny('\n', '\r', '\0')
            && !complaint.Message.Contains("Exception", StringComparison.Ordinal)
            && complaint.Problem.Length > 5
            && complaint.Remedy.Length > 5;
    }
}
