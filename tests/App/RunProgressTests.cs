using Hillrow.Estate;
using Xunit;

namespace Hillrow.App.Tests;

public sealed class RunProgressTests
{
    private static readonly StepKey Key = new("mapping", "2026-03-14");
    private static readonly Words Doing = new("laying the map", "componiendo el mapa", "compondo o mapa");

    [Fact]
    public void RunBar_WholeRun_LeavesALineForEachEndedStepThatWorked()
    {
        using StringWriter screen = new();
        int result = RunBar.During(screen, Language.Spanish, Play);
        Assert.Equal(42, result);
        Assert.Contains(
            "2026-03-14, componiendo el mapa: degraded in 2.5 s: dark",
            screen.ToString(),
            StringComparison.Ordinal
        );
        Assert.DoesNotContain("up to date", screen.ToString(), StringComparison.Ordinal);
    }

    [Fact]
    public void RunLines_WholeRun_TellBeginAndEndWithTimeLeft()
    {
        using StringWriter lines = new();
        Play(new RunLines(lines, Language.English, TimeProvider.System));
        Assert.Equal(
            [
                "1/2 2026-03-14, laying the map, about 3 min left",
                "  2026-03-14, laying the map: degraded in 2.5 s: dark",
            ],
            lines.ToString().Split(Environment.NewLine, StringSplitOptions.RemoveEmptyEntries)
        );
    }

    [Fact]
    public void RunLines_NothingToDo_TellNothing()
    {
        using StringWriter lines = new();
        RunLines told = new(lines, Language.English, TimeProvider.System);
        told.Advanced(new RunMoment(Doing, Key, 1, 2, 0, 0, null));
        told.Ended(new StepReport(Key, Doing, StepEnd.UpToDate, [], TimeSpan.Zero));
        Assert.Empty(lines.ToString());
    }

    private static int Play(IRunProgress progress)
    {
        progress.Advanced(new RunMoment(Doing, Key, 1, 2, 0, 0, TimeSpan.FromSeconds(150)));
        progress.Advanced(new RunMoment(Doing, Key, 1, 2, 0.5, 0.25, null));
        progress.Ended(new StepReport(Key, Doing, StepEnd.Degraded, ["dark"], TimeSpan.FromSeconds(2.5)));
        progress.Ended(new StepReport(Key, Doing, StepEnd.UpToDate, [], TimeSpan.Zero));
        return 42;
    }
}
