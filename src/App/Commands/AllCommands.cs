using System.CommandLine;

namespace Hillrow.App.Commands;

/// <summary>The commands, in the order of the job. A new command is a file of its own and one line here.</summary>
internal static class AllCommands
{
    public static IEnumerable<Command> Create(CommandOutput speech, CancellationToken cancellation)
    {
        yield return DemoCommand.Create(speech, cancellation);
        yield return NewCommand.Create(speech);
        yield return new Command("block", "Keep the block book: what grows where, since when.")
        {
            BlockImportCommand.Create(speech),
            BlockAddCommand.Create(speech),
            BlockEditCommand.Create(speech),
            BlockListCommand.Create(speech),
        };
        yield return new Command(
            "log",
            "Keep each block's dated log: picking, spray, fertiliser, pruning, stumping, rain."
        )
        {
            LogAddCommand.Create(speech),
            LogListCommand.Create(speech),
        };
        yield return new Command("camera", "Teach the program a camera.")
        {
            CameraLearnCommand.Create(speech, cancellation),
            CameraLensCommand.Create(speech, cancellation),
        };
        yield return new Command("survey", "Keep the surveys: one dated visit each.")
        {
            SurveyAddCommand.Create(speech, cancellation),
        };
        yield return IntakeCommand.Create(speech, cancellation);
        yield return PlanCommand.Create(speech, cancellation);
        yield return PackCommand.Create(speech);
        yield return CheckCommand.Create(speech, cancellation);
        yield return RunCommand.Create(speech, cancellation);
        yield return DeclineCommand.Create(speech, cancellation);
        yield return SpreadCommand.Create(speech, cancellation);
        yield return WalkCommand.Create(speech, cancellation);
        yield return new Command("answers", "Keep what scouts found on their walk.")
        {
            AnswersCommand.Add(speech),
            AnswersCommand.List(speech),
        };
        yield return ReportCommand.Create(speech, cancellation);
        yield return MapsCommand.Create(speech, cancellation);
        yield return PlantsCommand.Create(speech);
        yield return LedgerCommand.Create(speech);
        yield return CorrectCommand.Create(speech);
        yield return ExportCommand.Create(speech, cancellation);
        yield return StatusCommand.Create(speech, cancellation);
        yield return WhyCommand.Create(speech);
        yield return RehearseCommand.Create(speech, cancellation);
    }
}
