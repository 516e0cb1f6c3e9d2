using System.Globalization;
using Hillrow.Numerics;

namespace Hillrow.Reconstruction;

/// <summary>What a file says of one point or mark: cells by name.</summary>
/// <param name="where">File and line, for messages.</param>
/// <param name="names">Lower case.</param>
/// <param name="cells">In the order of the names; may be fewer.</param>
internal sealed class ControlLine(string where, string[] names, string[] cells)
{
    public bool Has(string name) => Cell(name).Length > 0;

    public string Text(string name) => Has(name) ? Cell(name) : throw Wrong($"{name} is missing.", "Fill it in.");

    public string TextOr(string name, string otherwise) => Has(name) ? Cell(name) : otherwise;

    /// <summary>A number within bounds; null for <paramref name="otherwise"/>: it must be there.</summary>
    public double Number(string name, double? otherwise, double least, double most)
    {
        if (!Has(name) && otherwise is { } usual)
        {
            return usual;
        }

        return
            double.TryParse(Text(name), NumberStyles.Float, CultureInfo.InvariantCulture, out double value)
            && value >= least
            && value <= most
            ? value
            : throw Wrong(
                $"{name} is \"{Cell(name)}\".",
                FormattableString.Invariant($"Write a number from {least} to {most}, with a point.")
            );
    }

    public InputProblemException Wrong(string problem, string remedy) => new(where, problem, remedy);

    private string Cell(string name)
    {
        int at = Array.IndexOf(names, name);
        return at >= 0 && at < cells.Length ? cells[at].Trim() : "";
    }
}
