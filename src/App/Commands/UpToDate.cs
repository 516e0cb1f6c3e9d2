using System.CommandLine;
using Hillrow.Estate;
using Hillrow.Numerics;

namespace Hillrow.App.Commands;

/// <summary>What the commands that ask for one answer share: the run's own steps make it, so they never contradict it.</summary>
internal static class UpToDate
{
    public static Argument<string?> Survey() =>
        new("SURVEY") { Description = "A survey's id; the last one if not said.", Arity = ArgumentArity.ZeroOrOne };

    public static Option<bool> AsIs() =>
        new("--as-is") { Description = "Take what the last run made; do not bring it up to date first." };

    /// <summary>Does what is missing or stale.</summary>
    /// <returns>Null when the answer can be given; else the exit code.</returns>
    /// <exception cref="InputProblemException">There is no survey.</exception>
    public static int? Bring(EstateFolder estate, bool asIs, CommandOutput speech, CancellationToken cancellation)
    {
        if (RunOrder.Of(estate).Count == 0)
        {
            throw new InputProblemException(
                estate.Root,
                "has no survey yet.",
                $"Bring a card with `hillrow survey add {estate.Root} CARD`."
            );
        }

        if (asIs)
        {
            return null;
        }

        RunSummary summary = EstateRun.Do(estate, speech, cancellation);
        if (summary.Cancelled)
        {
            speech.Line(Messages.Ran(summary));
            speech.Result(new { ok = false, stopped = true });
            return ExitCodes.Stopped;
        }

        return null;
    }
}
