using System.Globalization;

namespace Hillrow.Validation;

/// <summary>A goal as written in goals.toml: a comparison and a number, "&lt;= 0.01", "&gt;= 0.97" or "= 0".</summary>
public sealed record Goal(string Text)
{
    public bool Holds(double value)
    {
        if (double.IsNaN(value))
        {
            return false;
        }

        string[] parts = Text.Split(' ', 2);
        if (parts.Length != 2 || !double.TryParse(parts[1], CultureInfo.InvariantCulture, out double limit))
        {
            throw new InvalidDataException($"goals.toml: \"{Text}\" is not a comparison and a number.");
        }

        return parts[0] switch
        {
            "<=" => value <= limit,
            ">=" => value >= limit,
            "=" => value.Equals(limit),
            _ => throw new InvalidDataException($"goals.toml: \"{Text}\" starts with none of <=, >=, =."),
        };
    }
}
