using System.Text;

namespace Hillrow.Estate;

/// <summary>
/// A survey's <c>checksums.sha256</c>: what came over from the cards, so that anyone can see years later that it is
/// still the same (<c>sha256sum -c checksums.sha256</c> in the survey's folder).
/// </summary>
public static class SurveyChecksums
{
    public const string FileName = "checksums.sha256";

    private const int HashLength = 64;

    /// <param name="survey">The survey.</param>
    /// <param name="hashes">Lower-case SHA-256 by name below its captures.</param>
    public static void Write(SurveyFolder survey, IReadOnlyDictionary<string, string> hashes)
    {
        ArgumentNullException.ThrowIfNull(survey);
        ArgumentNullException.ThrowIfNull(hashes);
        StringBuilder text = new();
        foreach ((string name, string hash) in hashes.OrderBy(entry => entry.Key, StringComparer.Ordinal))
        {
            text.Append(hash).Append("  ").Append(SurveyFolder.CapturesName).Append('/').Append(name).Append('\n');
        }

        DurableFiles.WriteAllText(Path.Combine(survey.Root, FileName), text.ToString());
    }

    /// <summary>By name below the captures; empty when there is no such file. Lines that are none are left out.</summary>
    public static IReadOnlyDictionary<string, string> Read(SurveyFolder survey)
    {
        ArgumentNullException.ThrowIfNull(survey);
        string file = Path.Combine(survey.Root, FileName);
        string under = $"  {SurveyFolder.CapturesName}/";
        Dictionary<string, string> hashes = new(StringComparer.Ordinal);
        if (File.Exists(file))
        {
            foreach (string line in File.ReadLines(file))
            {
                if (
                    line.Length > HashLength + under.Length
                    && line.AsSpan(HashLength).StartsWith(under, StringComparison.Ordinal)
                )
                {
                    hashes[line[(HashLength + under.Length)..]] = line[..HashLength];
                }
            }
        }

        return hashes;
    }
}
