using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Estate.Tests;

public sealed class RunEngineTests : IDisposable
{
    private static readonly StepKey First = new("first", StepKey.WholeEstate);
    private static readonly StepKey Second = new("second", StepKey.WholeEstate);
    private static readonly ProgramIdentity Program = new("test 1", "runtime 1", "processor 1", ["library 1"]);

    private readonly ScratchEstate scratch = new();
    private readonly List<string> done = [];

    public void Dispose() => scratch.Dispose();

    [Fact]
    public void Run_Twice_WorksOnce()
    {
        RunSummary first = Run(Order());
        RunSummary second = Run(Order());
        Assert.Equal([StepEnd.Done, StepEnd.Done], Ends(first));
        Assert.Equal([StepEnd.UpToDate, StepEnd.UpToDate], Ends(second));
        Assert.Equal(["first", "second"], done);
    }

    [Fact]
    public void Run_InputChanged_DoesWhatRestsOnIt()
    {
        Run(Order());
        scratch.File("input.txt", "something else");
        Run(Order());
        Assert.Equal(["first", "second", "first", "second"], done);
    }

    [Fact]
    public void Run_InputChangedButSameResult_StopsThere()
    {
        Run(Order(first: _ => "always the same"));
        scratch.File("input.txt", "something else");
        Run(Order(first: _ => "always the same"));
        Assert.Equal(["first", "second", "first"], done);
    }

    [Theory]
    [InlineData("settings")]
    [InlineData("program")]
    [InlineData("runtime")]
    [InlineData("processor")]
    [InlineData("library")]
    public void Run_AnythingOfTheFingerprintChanged_WorksAgain(string what)
    {
        Run(Order());
        ProgramIdentity program = what switch
        {
            "program" => Program with { Program = "test 2" },
            "runtime" => Program with { Runtime = "runtime 2" },
            "processor" => Program with { Processor = "processor 2" },
            "library" => Program with { Libraries = ["library 2"] },
            _ => Program,
        };
        IReadOnlyList<RunStep> order = Order();
        order = what == "settings" ? [order[0] with { Settings = "{\"a\":2}" }, order[1]] : order;
        Run(order, program);
        Assert.Equal(what == "settings" ? ["first", "second", "first"] : ["first", "second", "first", "second"], done);
    }

    [Fact]
    public void Run_OtherThreads_IsUpToDate()
    {
        Run(Order());
        new RunEngine(scratch.Estate, Program, threads: 7, new SilentProgress()).Run(Order());
        Assert.Equal(2, done.Count);
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void Run_OutputGoneOrCut_IsMadeAgain(bool gone)
    {
        Run(Order());
        string file = Directory.GetFiles(OutputOf(First)).Single();
        File.Delete(file);
        if (!gone)
        {
            File.WriteAllText(file, "x");
        }

        Run(Order());
        Assert.Equal(["first", "second", "first"], done);
        Assert.Equal("FIRST: the input", File.ReadAllText(file));
    }

    [Fact]
    public void Run_TableChanged_WorksAgain()
    {
        RunStep[] order = [Step(First, [StepInput.Table("corrections", "corrections")], _ => "x")];
        Run(order);
        Run(order);
        AddCorrection();
        Run(order);
        Assert.Equal(["first", "first"], done);
    }

    [Fact]
    public void Run_TableChangedDuringWork_IsDoneOverWithTheNewRows()
    {
        bool edited = false;
        RunStep[] order =
        [
            Step(
                First,
                [StepInput.Table("corrections", "corrections")],
                context =>
                {
                    using var connection = context.Estate.OpenDatabase();
                    object? count = GeoPackageConnection.Scalar(connection, "SELECT count(*) FROM corrections");
                    if (!edited)
                    {
                        edited = true;
                        AddCorrection();
                    }

                    return $"{count} corrections";
                }
            ),
        ];
        RunSummary summary = Run(order);
        Assert.Equal([StepEnd.Done], Ends(summary));
        Assert.Equal("1 corrections", File.ReadAllText(Directory.GetFiles(OutputOf(First)).Single()));
    }

    [Fact]
    public void Run_StepThrows_FailsAndRestOfOrderGoesOn()
    {
        StepKey third = new("third", StepKey.WholeEstate);
        RunStep[] order =
        [
            Step(First, [], _ => throw new InvalidOperationException("broken inside")),
            Step(Second, [StepInput.Output("a", First)], _ => "x"),
            Step(third, [], _ => "x"),
        ];
        RunSummary summary = Run(order);
        Assert.Equal([StepEnd.Failed, StepEnd.Refused, StepEnd.Done], Ends(summary));
        Assert.Equal("broken inside", Assert.Single(summary.Steps[0].Reasons));
        Assert.Contains(
            "needs estate/first, which failed: broken inside",
            summary.Steps[1].Reasons[0],
            StringComparison.Ordinal
        );
        Assert.Contains(
            "InvalidOperationException",
            File.ReadAllText(Path.Combine(scratch.Estate.Root, "log")),
            StringComparison.Ordinal
        );
        order[0] = Step(First, [], _ => "mended");
        Assert.Equal([StepEnd.Done, StepEnd.Done, StepEnd.UpToDate], Ends(Run(order)));
    }

    [Fact]
    public void Run_BadData_IsRefusedAndToldAgainWithoutWork()
    {
        RunStep[] order =
        [
            Step(First, [], _ => throw new InputProblemException("capture 7", "has no red frame.", "Fly it again.")),
        ];
        Assert.Equal([StepEnd.Refused], Ends(Run(order)));
        RunSummary again = Run(order);
        Assert.Equal([StepEnd.Refused], Ends(again));
        Assert.Equal("capture 7: has no red frame. Fly it again.", again.Steps[0].Reasons[0]);
        Assert.Single(done);
    }

    [Fact]
    public void Run_DegradedInput_MarksWhatRestsOnIt()
    {
        RunStep degraded = Step(First, [], _ => "x") with
        {
            Work = context =>
            {
                File.WriteAllText(context.NewFile("a"), "x");
                return new StepResult(StageOutcome.Degraded("clouds passed."));
            },
        };
        RunSummary summary = Run([degraded, Step(Second, [StepInput.Output("a", First)], _ => "y")]);
        Assert.Equal([StepEnd.Degraded, StepEnd.Degraded], Ends(summary));
        Assert.Equal("clouds passed.", summary.Steps[1].Reasons[0]);
    }

    [Fact]
    public void Run_InputFileMissing_BlocksAndKeepsWhatIsCurrent()
    {
        Run(Order());
        string output = Directory.GetFiles(OutputOf(First)).Single();
        File.Delete(Path.Combine(scratch.Folder, "input.txt"));
        RunSummary summary = Run(KeptOrder());
        Assert.Equal([StepEnd.Blocked, StepEnd.Blocked], Ends(summary));
        Assert.Contains("does not exist", summary.Steps[0].Reasons[0], StringComparison.Ordinal);
        Assert.True(File.Exists(output));
        Assert.False(summary.Complete);
    }

    [Fact]
    public void Run_Cancelled_LeavesNothingAndGoesOnLater()
    {
        using CancellationTokenSource source = new();
        RunStep[] order =
        [
            Step(First, [], _ => "x"),
            Step(
                Second,
                [StepInput.Output("a", First)],
                context =>
                {
                    File.WriteAllText(context.NewFile("half"), "half");
                    source.Cancel();
                    context.Report(0.5);
                    return "never";
                }
            ),
        ];
        RunSummary summary = new RunEngine(scratch.Estate, Program, 1, new SilentProgress()).Run(order, source.Token);
        Assert.True(summary.Cancelled);
        Assert.Equal([StepEnd.Done], Ends(summary));
        Assert.Empty(Directory.GetDirectories(Path.Combine(scratch.Estate.HandoverFolder, "second")));
        order[1] = Step(Second, [StepInput.Output("a", First)], _ => "now");
        Assert.Equal([StepEnd.UpToDate, StepEnd.Done], Ends(Run(order)));
    }

    [Fact]
    public void Run_LeftoverOfAKilledRun_IsSwept()
    {
        Run(Order());
        string left = Path.Combine(scratch.Estate.HandoverFolder, "first", "0123456789abcdef");
        Directory.CreateDirectory(left);
        File.WriteAllText(Path.Combine(left, "half"), "half");
        string kept = Path.Combine(scratch.Estate.HandoverFolder, "first", "notes of the grower");
        Directory.CreateDirectory(kept);
        Run(Order());
        Assert.False(Directory.Exists(left));
        Assert.True(Directory.Exists(kept));
        Assert.True(Directory.Exists(OutputOf(First)));
    }

    [Fact]
    public void Run_WhileAnotherRuns_IsTurnedAwayInOneLine()
    {
        using EstateLock held = scratch.Estate.LockForRun();
        InputProblemException problem = Assert.Throws<InputProblemException>(() => Run(Order()));
        Assert.Contains("another hillrow is at work", problem.Message, StringComparison.Ordinal);
        Assert.DoesNotContain('\n', problem.Message);
    }

    [Fact]
    public void Run_RowsOfAStep_BecomeCurrentWithItsFilesOrNotAtAll()
    {
        RunStep good = Step(First, [], _ => "x") with
        {
            Work = _ =>
                StepResult.Done with
                {
                    CommitRows = connection =>
                    {
                        GeoPackageConnection.Execute(
                            connection,
                            "INSERT INTO findings (survey, question) VALUES ('2026-01-01', 'decline')"
                        );
                        throw new InvalidOperationException("in the middle");
                    },
                },
        };
        RunSummary summary = Run([good]);
        Assert.Equal([StepEnd.Failed], Ends(summary));
        Assert.Equal("in the middle", Assert.Single(summary.Steps[0].Reasons));
        using var check = scratch.Estate.OpenDatabase();
        Assert.Equal(0L, GeoPackageConnection.Scalar(check, "SELECT count(*) FROM findings"));
        Assert.Equal("failed", GeoPackageConnection.Scalar(check, "SELECT state FROM run_steps"));
    }

    [Fact]
    public void Plan_TellsWhatChangedAndWhatWaits()
    {
        RunEngine engine = new(scratch.Estate, Program, 1, new SilentProgress());
        Assert.Equal([StepNeed.Missing, StepNeed.Waits], engine.Plan(Order()).Select(plan => plan.Need));
        Run(Order());
        Assert.Equal([StepNeed.Nothing, StepNeed.Nothing], engine.Plan(Order()).Select(plan => plan.Need));
        scratch.File("input.txt", "something else");
        IReadOnlyList<StepPlan> plan = engine.Plan(KeptOrder());
        Assert.Equal([StepNeed.Stale, StepNeed.Waits], plan.Select(step => step.Need));
        Assert.StartsWith("text changed", plan[0].Because, StringComparison.Ordinal);
    }

    [Fact]
    public void Why_StepOrFile_TellsInputsSettingsAndVersions()
    {
        Run(Order());
        RunEngine engine = new(scratch.Estate, Program, 1, new SilentProgress());
        StepRecord byStep = Assert.Single(engine.Why("second"));
        StepRecord byFile = Assert.Single(engine.Why(Directory.GetFiles(OutputOf(Second)).Single()));
        Assert.Equal(byStep.Fingerprint, byFile.Fingerprint);
        Assert.Equal("estate/first", Assert.Single(byStep.Inputs).What);
        Assert.Equal("library 1", Assert.Single(byStep.Program.Libraries));
        Assert.Empty(engine.Why("nonsense"));
    }

    [Fact]
    public void Check_OrderReadsALaterStep_Throws() =>
        Assert.Throws<ArgumentException>(() =>
            Run([Step(First, [StepInput.Output("a", Second)], _ => "x"), Step(Second, [], _ => "x")])
        );

    [Fact]
    public void Outputs_AreReadOnly()
    {
        Run(Order());
        string file = Directory.GetFiles(OutputOf(First)).Single();
        Assert.True(File.GetAttributes(file).HasFlag(FileAttributes.ReadOnly));
    }

    private static StepEnd[] Ends(RunSummary summary) => [.. summary.Steps.Select(step => step.End)];

    private string OutputOf(StepKey key)
    {
        using var connection = scratch.Estate.OpenDatabase();
        return Path.Combine(scratch.Estate.Root, RunRecord.Find(connection, key)!.Place);
    }

    private RunSummary Run(IReadOnlyList<RunStep> order, ProgramIdentity? program = null) =>
        new RunEngine(scratch.Estate, program ?? Program, threads: 1, new SilentProgress()).Run(order);

    private IReadOnlyList<RunStep> Order(Func<StepContext, string>? first = null)
    {
        if (!File.Exists(Path.Combine(scratch.Folder, "input.txt")))
        {
            scratch.File("input.txt", "the input");
        }

        return KeptOrder(first);
    }

    private IReadOnlyList<RunStep> KeptOrder(Func<StepContext, string>? first = null) =>
        [
            Step(
                First,
                [StepInput.File("text", Path.Combine(scratch.Folder, "input.txt"))],
                first ?? (context => "FIRST: " + File.ReadAllText(context.PathOf("text")))
            ),
            Step(
                Second,
                [StepInput.Output("before", First)],
                context => "SECOND: " + File.ReadAllText(Path.Combine(context.PathOf("before"), "out.txt"))
            ),
        ];

    private RunStep Step(StepKey key, StepInput[] inputs, Func<StepContext, string> text) =>
        new(
            key,
            new Words("working", "trabajando", "trabalhando"),
            "copying",
            "own",
            inputs,
            StepSettings.None,
            context =>
            {
                done.Add(key.Step);
                File.WriteAllText(context.NewFile("out.txt"), text(context));
                return StepResult.Done;
            }
        );

    private void AddCorrection()
    {
        using var connection = scratch.Estate.OpenDatabase();
        GeoPackageConnection.Execute(
            connection,
            "INSERT INTO corrections (day, what, value) VALUES ('2026-03-01', 'gap', 'no')"
        );
    }
}
