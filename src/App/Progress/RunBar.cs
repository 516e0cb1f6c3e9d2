using Hillrow.Estate;
using Spectre.Console;
using Spectre.Console.Rendering;

namespace Hillrow.App;

/// <summary>Progress on a terminal: a line for each ended step, and a bar for the whole run with the time left.</summary>
internal sealed class RunBar : IRunProgress
{
    private readonly IAnsiConsole console;
    private readonly ProgressTask task;
    private readonly Language language;
    private readonly LeftColumn left;

    private RunBar(IAnsiConsole console, ProgressTask task, LeftColumn left, Language language)
    {
        this.console = console;
        this.task = task;
        this.left = left;
        this.language = language;
    }

    /// <summary>Does some work while the bar is shown.</summary>
    public static T During<T>(TextWriter writer, Language language, Func<IRunProgress, T> work)
    {
        IAnsiConsole terminal = AnsiConsole.Create(new AnsiConsoleSettings { Out = new AnsiConsoleOutput(writer) });
        LeftColumn rest = new();
        return terminal
            .Progress()
            .AutoClear(true)
            .Columns(
                new TaskDescriptionColumn { Alignment = Justify.Left },
                new ProgressBarColumn { Width = 30 },
                new PercentageColumn(),
                rest
            )
            .Start(context =>
            {
                ProgressTask whole = context.AddTask("hillrow", maxValue: 1);
                return work(new RunBar(terminal, whole, rest, language));
            });
    }

    public void Advanced(RunMoment moment)
    {
        left.Left = moment.Left;
        task.Description = Markup.Escape(
            $"{moment.Number}/{moment.Count} {Messages.Doing(moment.Doing, moment.Key, language)}"
        );
        task.Value = moment.ShareOfRun;
    }

    public void Ended(StepReport report)
    {
        if (report.End != StepEnd.UpToDate)
        {
            console.WriteLine(Messages.Ended(report, language));
        }
    }

    private sealed class LeftColumn : ProgressColumn
    {
        public TimeSpan? Left { get; set; }

        public override IRenderable Render(RenderOptions options, ProgressTask shown, TimeSpan deltaTime) =>
            new Text(Left is { } left ? Messages.Left(left) : "");
    }
}
