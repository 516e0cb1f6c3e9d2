using System.CommandLine;
using System.Globalization;
using Hillrow.Estate;
using Hillrow.Numerics;

namespace Hillrow.App.Commands;

/// <summary>The rehearsal's commands, and what they share.</summary>
internal static class RehearseCommand
{
    public static Command Create(CommandOutput speech, CancellationToken cancellation) =>
        new("rehearse", "Try everything on a modelled estate whose truth is known.")
        {
            RehearseEstateCommand.Create(speech),
            RehearseFlyCommand.Create(speech, cancellation),
            RehearseScoreCommand.Create(speech),
        };

    public static ulong? Seed(string? text) =>
        text is null ? null
        : ulong.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out ulong seed) ? seed
        : throw new InputProblemException("--seed", $"\"{text}\" is no whole number.", "Give a number such as 7.");

    /// <exception cref="InputProblemException">The folder lies in the estate.</exception>
    public static void RefuseInside(EstateFolder estate, string folder, string option)
    {
        string relative = Path.GetRelativePath(estate.Root, folder);
        if (relative != ".." && !relative.StartsWith("../", StringComparison.Ordinal) && !Path.IsPathRooted(relative))
        {
            throw new InputProblemException(
                folder,
                "lies in the estate.",
                $"Name a folder outside it with {option}: pictures come in by intake."
            );
        }
    }
}
