using System.Globalization;

namespace Hillrow.Estate;

/// <summary>Takes over what a boundary file says about a block under the names that estate.gpkg uses itself.</summary>
internal static class BlockAttributes
{
    public static BlockFacts Read(Boundary boundary, List<string> told, string name)
    {
        BlockFacts facts = new(
            Text("crop"),
            Text("variety"),
            Day("planted"),
            Day("stumped"),
            Number("plant_spacing_metres"),
            Number("row_spacing_metres"),
            Number("shade_percent")
        );
        IReadOnlyList<string> problems = facts.Problems();
        told.AddRange(
            problems.Select(problem => $"{boundary.Where} \"{name}\": {problem}; none of its facts was taken over")
        );
        return problems.Count == 0 ? facts : new BlockFacts();

        string? Text(string key) =>
            boundary.Attributes.TryGetValue(key, out string? value) && value.Length is > 0 and <= 80 ? value : null;

        double? Number(string key)
        {
            if (Text(key) is not { } text)
            {
                return null;
            }

            if (double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out double number))
            {
                return number;
            }

            told.Add($"{boundary.Where} \"{name}\": {key} is \"{text}\", which is no number, and was left out");
            return null;
        }

        DateOnly? Day(string key)
        {
            if (Text(key) is not { } text)
            {
                return null;
            }

            string compact =
                text.Length == 8 && text.All(char.IsAsciiDigit) ? $"{text[..4]}-{text[4..6]}-{text[6..]}" : text;
            if (DateOnly.TryParseExact(compact[..Math.Min(10, compact.Length)], "yyyy-MM-dd", out DateOnly day))
            {
                return day;
            }

            told.Add(
                $"{boundary.Where} \"{name}\": {key} is \"{text}\", which is no day (YYYY-MM-DD), and was left out"
            );
            return null;
        }
    }
}
