using System.Globalization;
using Hillrow.Radiometry;
using Hillrow.TestSupport;

namespace Hillrow.Checks;

/// <summary>
/// Field spectra of maple leaves: panel and leaf radiance by wavelength, and the reflectance that the instrument made of
/// them, held against our panel arithmetic.
/// Source: opendata/spectra-leaf-acer (PROVENANCE.md there).
/// </summary>
public static class LeafSpectra
{
    /// <summary>All numbers of the files are rounded to two decimals: half a step of each comes through.</summary>
    private const double HalfStep = 0.005;
    private const string Folder = "spectra-leaf-acer";

    /// <summary>Null where the files are not on this machine.</summary>
    public static CheckTally? All()
    {
        if (RepositoryFiles.OpenData(Folder) is not { } folder)
        {
            return null;
        }

        CheckTally tally = new();
        foreach (string file in Directory.EnumerateFiles(folder, "*.sig").Order(StringComparer.Ordinal))
        {
            foreach (
                string line in File.ReadLines(file)
                    .SkipWhile(text => !text.StartsWith("data=", StringComparison.Ordinal))
                    .Skip(1)
            )
            {
                double[] row =
                [
                    .. line.Split(' ', StringSplitOptions.RemoveEmptyEntries)
                        .Select(text => double.Parse(text, CultureInfo.InvariantCulture)),
                ];
                tally.Compare(
                    Path.GetFileName(file),
                    FormattableString.Invariant($"per cent at {row[0]} nm"),
                    100 * RelativeRadiance.Reflectance(1, row[1], row[2]),
                    row[3],
                    HalfStep + (100 * HalfStep * (1 + (row[2] / row[1])) / row[1])
                );
            }
        }

        return tally;
    }
}
