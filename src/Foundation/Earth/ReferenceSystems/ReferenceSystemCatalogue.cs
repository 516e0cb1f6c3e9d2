using System.Globalization;

namespace Hillrow.Earth;

/// <summary>The projected systems of systems.tsv, by EPSG code.</summary>
internal static class ReferenceSystemCatalogue
{
    private static readonly Lazy<Dictionary<int, ReferenceSystemDefinition>> Projected = new(Read);

    public static ReferenceSystemDefinition? Find(int epsgCode) =>
        ReferenceDatums.Find(epsgCode) is { } datum
            ? new ReferenceSystemDefinition(epsgCode, datum.Name, datum, null)
            : Projected.Value.GetValueOrDefault(epsgCode);

    /// <summary>The coded system with the same datum and parameters, the lowest code where several agree.</summary>
    public static ReferenceSystemDefinition? FindAlike(ReferenceDatum datum, ProjectionParameters parameters) =>
        Projected
            .Value.Values.Where(one =>
                one.Datum.GeographicCode == datum.GeographicCode && one.Parameters!.SameAs(parameters)
            )
            // Twins that differ in axis order only carry it in brackets, "(N-E)": take the plain one.
            .MinBy(one => (one.Name.Contains('(', StringComparison.Ordinal), one.EpsgCode));

    public static IEnumerable<int> Codes =>
        ReferenceDatums.All.Select(datum => datum.GeographicCode).Concat(Projected.Value.Keys).Order();

    private static Dictionary<int, ReferenceSystemDefinition> Read()
    {
        using Stream stream =
            typeof(ReferenceSystemCatalogue).Assembly.GetManifestResourceStream("systems.tsv")
            ?? throw new InvalidOperationException("The table systems.tsv is missing from Hillrow.Earth.");
        using StreamReader reader = new(stream);
        reader.ReadLine();
        Dictionary<int, ReferenceSystemDefinition> found = [];
        while (reader.ReadLine() is { Length: > 0 } line)
        {
            string[] cells = line.Split('\t');
            double Number(int column) => double.Parse(cells[column], CultureInfo.InvariantCulture);
            int code = int.Parse(cells[0], CultureInfo.InvariantCulture);
            ReferenceDatum datum =
                ReferenceDatums.Find(int.Parse(cells[2], CultureInfo.InvariantCulture))
                ?? throw new InvalidOperationException($"systems.tsv: {code} stands on an unknown datum {cells[2]}.");
            found.Add(
                code,
                new(
                    code,
                    cells[1],
                    datum,
                    new(
                        Enum.Parse<ProjectionMethod>(cells[3]),
                        Number(4),
                        Number(5),
                        Number(6),
                        Number(7),
                        Number(8),
                        Number(9),
                        Number(10)
                    )
                )
            );
        }

        return found;
    }
}

/// <summary>What a reference system is made of; no parameters means latitude and longitude.</summary>
internal sealed record ReferenceSystemDefinition(
    int EpsgCode,
    string Name,
    ReferenceDatum Datum,
    ProjectionParameters? Parameters
);
