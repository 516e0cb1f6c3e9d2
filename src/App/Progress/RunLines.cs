using Hillrow.Estate;

namespace Hillrow.App;

/// <summary>Progress as plain lines: one when a step begins, one when it has ended, and a sign of life in between.</summary>
internal sealed class RunLines(TextWriter writer, Language language, TimeProvider time) : IRunProgress
{
    private static readonly TimeSpan SignOfLife = TimeSpan.FromSeconds(20);

    private StepKey? begun;
    private long lastLine = time.GetTimestamp();

    public void Advanced(RunMoment moment)
    {
        bool begins = begun != moment.Key;
        if (begins || time.GetElapsedTime(lastLine) > SignOfLife)
        {
            begun = moment.Key;
            lastLine = time.GetTimestamp();
            string share = begins ? "" : FormattableString.Invariant($", {moment.ShareOfStep * 100:0} %");
            string left = moment.Left is { } rest ? $", {Messages.Left(rest)}" : "";
            writer.WriteLine(
                $"{moment.Number}/{moment.Count} {Messages.Doing(moment.Doing, moment.Key, language)}{share}{left}"
            );
        }
    }

    public void Ended(StepReport report)
    {
        lastLine = time.GetTimestamp();
        if (report.End != StepEnd.UpToDate)
        {
            writer.WriteLine("  " + Messages.Ended(report, language));
        }
    }
}
