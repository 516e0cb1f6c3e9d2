namespace Hillrow.Intake;

/// <summary>Splits the names of properties and files into words.</summary>
internal static class NameWords
{
    /// <summary>"GpsAltitude_m" → gps, altitude, m; digits part words too.</summary>
    public static IReadOnlyList<string> Of(string name)
    {
        List<string> words = [];
        int start = 0;
        for (int at = 1; at <= name.Length; at++)
        {
            bool cut =
                at == name.Length
                || !char.IsLetterOrDigit(name[at])
                || !char.IsLetterOrDigit(name[at - 1])
                || char.IsDigit(name[at]) != char.IsDigit(name[at - 1])
                || (char.IsUpper(name[at]) && char.IsLower(name[at - 1]))
                || (
                    char.IsUpper(name[at])
                    && char.IsUpper(name[at - 1])
                    && at + 1 < name.Length
                    && char.IsLower(name[at + 1])
                );
            if (cut)
            {
                string word = name[start..at].Trim();
                if (word.Length > 0 && char.IsLetterOrDigit(word[0]))
                {
                    words.Add(word.ToLowerInvariant());
                }

                start = at;
            }
        }

        return words;
    }
}
