using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Estate.Tests;

public sealed class StableNamesTests : IDisposable
{
    private readonly ScratchEstate scratch = new();

    public void Dispose() => scratch.Dispose();

    [Fact]
    public void Refresh_ReportMadeAnewThenRefused_IsCopiedThenDisappears()
    {
        string stable = Path.Combine(scratch.Estate.HandoverFolder, "report.html");
        Run("first");
        Assert.Equal("first", File.ReadAllText(stable));
        Run("second");
        Assert.Equal("second", File.ReadAllText(stable));
        File.WriteAllText(stable, "scribbled on");
        Run("second");
        Assert.Equal("second", File.ReadAllText(stable));
        Run(null);
        Assert.False(File.Exists(stable));
    }

    [Fact]
    public void Why_StableName_TellsTheStepThatMadeIt()
    {
        Run("first");
        RunEngine engine = new(scratch.Estate, ProgramIdentity.Current(), 1, new SilentProgress());
        string stable = Path.Combine(scratch.Estate.HandoverFolder, "report.html");
        Assert.Equal(ReportStep.Key, Assert.Single(engine.Why(stable)).Key);
        Assert.Equal(ReportStep.Key, Assert.Single(engine.Why("handover/report.html")).Key);
        Assert.Empty(engine.Why("handover/other.html"));
    }

    private void Run(string? text)
    {
        RunStep step = new(
            ReportStep.Key,
            new Words("a", "b", "c"),
            "writes a text",
            "own",
            [],
            StepSettings.TextOf(new { text }),
            context =>
            {
                if (text is null)
                {
                    return new StepResult(StageOutcome.Refused("nothing to report"));
                }

                File.WriteAllText(context.NewFile("report.html"), text);
                return StepResult.Done;
            }
        );
        RunEngine engine = new(scratch.Estate, ProgramIdentity.Current(), 1, new SilentProgress());
        engine.Run([step], TestContext.Current.CancellationToken);
    }
}
