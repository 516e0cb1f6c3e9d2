using System.Diagnostics;
using System.Globalization;
using Hillrow.Numerics;

namespace Hillrow.App;

/// <summary>Tells progress as plain lines on standard error, at most one every few seconds.</summary>
internal sealed class PlainProgress(CommandOutput speech) : IProgress<WorkProgress>
{
    private static readonly TimeSpan Pause = TimeSpan.FromSeconds(5);
    private readonly Stopwatch watch = Stopwatch.StartNew();
    private readonly Lock gate = new();
    private TimeSpan lastTold = TimeSpan.MinValue;
    private string lastWhat = "";

    public void Report(WorkProgress value)
    {
        lock (gate)
        {
            TimeSpan now = watch.Elapsed;
            if (value.What == lastWhat && now - lastTold < Pause)
            {
                return;
            }

            (lastTold, lastWhat) = (now, value.What);
            string left = value.ShareDone is > 0.02 and < 1
                ? string.Create(
                    CultureInfo.InvariantCulture,
                    $", about {now.TotalSeconds * (1 - value.ShareDone) / value.ShareDone:0} s left"
                )
                : "";
            speech.Error.WriteLine(
                string.Create(CultureInfo.InvariantCulture, $"{value.What} ({100 * value.ShareDone:0} %{left})")
            );
        }
    }
}
