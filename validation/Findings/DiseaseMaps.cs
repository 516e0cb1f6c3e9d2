using System.Globalization;
using Hillrow.Numerics.SpatialStatistics;
using Hillrow.TestSupport;

namespace Hillrow.Validation.Findings;

/// <summary>A plant of a mapped field at one time.</summary>
internal readonly record struct MappedPlant(int Column, int Row, double Time, bool Ill);

/// <summary>The mapped plant diseases of opendata/disease-epiphy (its PROVENANCE.md names the sources).</summary>
internal static class DiseaseMaps
{
    public static string? Folder => RepositoryFiles.OpenData("disease-epiphy");

    /// <summary>Plants in the file's order; units of several plants count as ill when one is.</summary>
    public static IReadOnlyList<MappedPlant> Read(string name)
    {
        string[] lines = File.ReadAllLines(Path.Combine(Folder!, name + ".csv"));
        string[] titles = [.. lines[0].Split(',').Select(title => title.Trim('"'))];
        int Of(string title) => Array.IndexOf(titles, title);
        (int x, int y, int t, int i) = (Of("x"), Of("y"), Of("t"), Of("i"));
        return
        [
            .. lines
                .Skip(1)
                .Select(line => line.Split(','))
                .Where(cells => cells[i].Length > 0 && cells[i] != "NA")
                .Select(cells => new MappedPlant(
                    (int)Number(cells[x]),
                    (int)Number(cells[y]),
                    Number(cells[t]),
                    Number(cells[i]) > 0
                )),
        ];
    }

    /// <summary>Moran's I of ill plants, rook neighbours on the planting grid, binary weights.</summary>
    public static double Moran(IReadOnlyList<MappedPlant> plants)
    {
        Dictionary<(int, int), int> at = [];
        for (int index = 0; index < plants.Count; index++)
        {
            at[(plants[index].Column, plants[index].Row)] = index;
        }

        int[][] lists =
        [
            .. plants.Select(plant =>
                new[]
                {
                    (plant.Column - 1, plant.Row),
                    (plant.Column + 1, plant.Row),
                    (plant.Column, plant.Row - 1),
                    (plant.Column, plant.Row + 1),
                }
                    .Where(at.ContainsKey)
                    .Select(place => at[place])
                    .ToArray()
            ),
        ];
        double[] ill = [.. plants.Select(plant => plant.Ill ? 1.0 : 0)];
        return GlobalAutocorrelation.Moran(ill, NeighbourWeights.Binary(lists)).Statistic;
    }

    private static double Number(string text) => double.Parse(text.Trim('"'), CultureInfo.InvariantCulture);
}
