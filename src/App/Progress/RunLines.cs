using Hillrow.Estate;

namespace Hillrow.App;

/// <summary>
/// Progress as plain lines: one when a step's work begins, one when it has ended, and a sign of life in between. Steps that
/// turn out to be up to date leave none.
/// </summary>
internal sealed class RunLines(TextWriter writer, Language language, TimeProvider time) : IRunProgress
{
    private static readonly TimeSpan SignOfLife = TimeSpan.FromSeconds(20);

    private StepKey? begun;
    private string? waiting;
    private long lastLine = time.GetTimestamp();

    public void Advanced(RunMoment moment)
    {
        bool begins = begun != moment.Key;
        if (begins)
        {
            begun = moment.Key;
            waiting = LineOf(moment, "");
        }
        else if (waiting is { } line)
        {
            waiting = null;
            Write(line);
        }
        else if (time.GetElapsedTime(lastLine) > SignOfLife)
        {
            Write(LineOf(moment, FormattableString.Invariant($", {moment.ShareOfStep * 100:0} %")));
        }
    }

    public void Ended(StepReport report)
    {
        waiting = null;
        lastLine = time.GetTimestamp();
        if (report.End != StepEnd.UpToDate)
        {
            writer.WriteLine("  " + Messages.Ended(report, language));
        }
    }

    private string LineOf(RunMoment moment, string share)
    {
        string left = moment.Left is { } rest ? $", {Messages.Left(rest)}" : "";
        return $"{moment.Number}/{moment.Count} {Messages.Doing(moment.Doing, moment.Key, language)}{share}{left}";
    }

    private void Write(string line)
    {
        lastLine = time.GetTimestamp();
        writer.WriteLine(line);
    }
}
