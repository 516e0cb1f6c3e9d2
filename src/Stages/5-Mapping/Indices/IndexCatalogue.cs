using System.Globalization;
using System.Reflection;
using Hillrow.Numerics;

namespace Hillrow.Mapping;

/// <summary>The published indices we offer: a table in indices.tsv, told with citations in docs/formulas/indices.md.</summary>
public static class IndexCatalogue
{
    private const int Fields = 9;

    private static readonly Lazy<IReadOnlyList<VegetationIndex>> Table = new(ReadTable);

    public static IReadOnlyList<VegetationIndex> All => Table.Value;

    /// <summary>The index of that name or alias (case does not count), or null.</summary>
    public static VegetationIndex? TryFind(string name) =>
        All.FirstOrDefault(index => string.Equals(index.Name, name, StringComparison.OrdinalIgnoreCase))
        ?? All.FirstOrDefault(index =>
            index.Alias.Length > 0 && string.Equals(index.Alias, name, StringComparison.OrdinalIgnoreCase)
        );

    /// <summary>The index of that name or alias.</summary>
    /// <exception cref="InputProblemException">There is none.</exception>
    public static VegetationIndex Find(string name) =>
        TryFind(name)
        ?? throw new InputProblemException(
            "index",
            $"there is no index \"{name}\" in the catalogue.",
            "docs/formulas/indices.md lists them; any other can be given as a formula over the bands."
        );

    /// <summary>An index by its name, or else a formula.</summary>
    /// <param name="nameOrFormula">"NDVI", or "(nir - red) / (nir + red)".</param>
    /// <param name="bands">Bands of the map.</param>
    /// <param name="values">Of names that no band has; null for none.</param>
    /// <exception cref="InputProblemException">Neither.</exception>
    public static IndexFormula FormulaOf(
        string nameOrFormula,
        IReadOnlyList<FormulaBand> bands,
        IReadOnlyDictionary<string, double>? values = null
    )
    {
        ArgumentNullException.ThrowIfNull(nameOrFormula);
        return TryFind(nameOrFormula.Trim()) is { } index
            ? index.Over(bands, values)
            : IndexFormula.Parse(nameOrFormula, bands, values);
    }

    private static List<VegetationIndex> ReadTable()
    {
        using Stream stream = Assembly.GetExecutingAssembly().GetManifestResourceStream("indices.tsv")!;
        using StreamReader reader = new(stream);
        List<VegetationIndex> indices = [];
        _ = reader.ReadLine();
        while (reader.ReadLine() is { } line)
        {
            string[] field = line.Split('\t');
            if (field.Length != Fields)
            {
                throw new InvalidDataException($"indices.tsv: {field.Length} fields in \"{line}\", not {Fields}.");
            }

            indices.Add(
                new VegetationIndex(
                    field[0],
                    field[1],
                    field[2],
                    field[3],
                    field[4],
                    field[5].Length > 0 ? double.Parse(field[5], CultureInfo.InvariantCulture) : null,
                    field[6] == "ratio",
                    field[7].Split(' ', StringSplitOptions.RemoveEmptyEntries),
                    field[8]
                )
            );
        }

        return indices;
    }
}
