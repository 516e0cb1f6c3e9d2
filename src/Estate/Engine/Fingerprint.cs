using System.Text;

namespace Hillrow.Estate;

/// <summary>
/// The digest of everything that can change a step's result: equal fingerprints mean equal outputs, so the work need
/// not be done again.
/// </summary>
internal static class Fingerprint
{
    /// <summary>Characters of the fingerprint that name the folder of a step's outputs: 2⁻⁶⁴ for two to meet.</summary>
    public const int FolderNameLength = 16;

    public static string Of(RunStep step, ProgramIdentity program, IReadOnlyList<ResolvedInput> inputs)
    {
        StringBuilder text = new();
        text.Append("hillrow fingerprint 1\n");
        text.Append("step ").Append(step.Key).Append('\n');
        text.Append("settings ").Append(step.Settings).Append('\n');
        text.Append("program ").Append(program.Program).Append('\n');
        text.Append("runtime ").Append(program.Runtime).Append('\n');
        text.Append("processor ").Append(program.Processor).Append('\n');
        text.Append("libraries ").AppendJoin(", ", program.Libraries).Append('\n');
        foreach (ResolvedInput input in inputs.OrderBy(input => input.Declared.Name, StringComparer.Ordinal))
        {
            text.Append("input ").Append(input.Declared.Name).Append(' ').Append(input.Digest).Append('\n');
        }

        return ContentHashes.OfText(text.ToString());
    }
}
