using System.Globalization;

namespace Hillrow.Estate;

/// <summary>
/// The log beside the data: when each step was done and how long it took, with the details of faults. It is for people;
/// nothing reads it back, and it lies outside what must come out the same.
/// </summary>
internal static class RunLog
{
    public static void Append(EstateFolder estate, StepReport report, Exception? fault, DateTimeOffset now)
    {
        if (report.End == StepEnd.UpToDate)
        {
            return;
        }

        string survey = Path.Combine(estate.Root, "surveys", report.Key.Subject);
        string folder = Directory.Exists(survey) ? survey : estate.Root;
        string reasons = report.Reasons.Count == 0 ? "" : ": " + string.Join("; ", report.Reasons);
        string line = string.Create(
            CultureInfo.InvariantCulture,
            $"{now:yyyy-MM-dd HH:mm:ss zzz} {report.Key.Step} {report.End.ToString().ToLowerInvariant()} in {report.Took.TotalSeconds:0.0} s ({report.Worked.TotalSeconds:0.0} s of processor time, {report.PeakBytes >> 20} MiB at most so far){reasons}\n"
        );
        try
        {
            File.AppendAllText(Path.Combine(folder, "log"), fault is null ? line : $"{line}{fault}\n");
        }
        catch (IOException)
        {
            // A log that cannot be written must not stop the work.
        }
    }
}
