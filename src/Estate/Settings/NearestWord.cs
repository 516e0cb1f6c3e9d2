namespace Hillrow.Estate;

/// <summary>Finds what a person may have meant by a mistyped word.</summary>
public static class NearestWord
{
    /// <summary>The word with the fewest letters changed, if at most a third of them are; null otherwise.</summary>
    /// <remarks>Edit distance with insertions, deletions and substitutions (Levenshtein 1966).</remarks>
    public static string? To(string typed, IEnumerable<string> words)
    {
        string? nearest = null;
        int fewest = Math.Max(2, typed.Length / 3) + 1;
        foreach (string word in words)
        {
            int distance = Distance(typed.ToUpperInvariant(), word.ToUpperInvariant());
            if (distance < fewest)
            {
                (nearest, fewest) = (word, distance);
            }
        }

        return nearest;
    }

    private static int Distance(string left, string right)
    {
        if (Math.Abs(left.Length - right.Length) > 8)
        {
            return int.MaxValue;
        }

        int[] row = [.. Enumerable.Range(0, right.Length + 1)];
        for (int i = 1; i <= left.Length; i++)
        {
            int diagonal = row[0];
            row[0] = i;
            for (int j = 1; j <= right.Length; j++)
            {
                int above = row[j];
                row[j] = Math.Min(
                    Math.Min(row[j] + 1, row[j - 1] + 1),
                    diagonal + (left[i - 1] == right[j - 1] ? 0 : 1)
                );
                diagonal = above;
            }
        }

        return row[^1];
    }
}
