using System.Diagnostics;
using System.Globalization;
using System.Text;
using Xunit;

namespace Hillrow.Earth.Tests;

/// <summary>Every coded system against PROJ, by its command cs2cs (Debian package proj-bin).</summary>
public sealed class ReferenceSystem_ProjTests
{
    /// <summary>The two differ only in rounding: 0.01 mm, where the datum needs no shift.</summary>
    private const double ToleranceMetres = 1e-5;

    [Fact]
    [Trait("Pace", "long")]
    public void EveryProjectedSystem_SameAsProj()
    {
        Assert.SkipUnless(File.Exists("/usr/bin/cs2cs"), "cs2cs is not installed (Debian: proj-bin).");
        List<string> wrong = [];
        int compared = 0;
        foreach (int code in ReferenceSystem.KnownCodes)
        {
            ReferenceSystem system = new(code);
            if (system.Projection is not { } projection)
            {
                continue;
            }

            ProjectionParameters p = projection.Parameters;
            bool south = p.FalseNorthingMetres > 9e6 || p.OriginLatitudeDegrees < 0 || p.FirstParallelDegrees < 0;
            double latitude = Math.Clamp(
                p.OriginLatitudeDegrees + (p.FirstParallelDegrees / 2) + (south ? -3.25 : 3.25),
                -70,
                70
            );
            GeographicPoint place = GeographicPoint.FromDegrees(latitude, p.CentralMeridianDegrees + 1.375);

            // From the system's own latitude and longitude: this judges the projection and its parameters alone.
            GridPoint got = projection.Forward(place);
            (double east, double north)? want = Cs2Cs(system.Datum.GeographicCode, code, place);
            if (want is null)
            {
                wrong.Add($"{system}: cs2cs gave nothing");
                continue;
            }

            compared++;
            // Some official axis orders are north, east; a mix-up of the two could not fit by chance.
            double direct = Math.Min(
                Apart(got, want.Value.east, want.Value.north),
                Apart(got, want.Value.north, want.Value.east)
            );
            if (!(direct < ToleranceMetres))
            {
                wrong.Add(
                    FormattableString.Invariant($"{system}: {got} but PROJ {want.Value.east} {want.Value.north}")
                );
            }
        }

        Assert.True(wrong.Count == 0, $"{wrong.Count} of {compared}:\n{string.Join('\n', wrong.Take(20))}");
        Assert.True(compared > 600, $"only {compared} systems compared");
    }

    private static (double East, double North)? Cs2Cs(int from, int to, GeographicPoint place)
    {
        ProcessStartInfo start = new("/usr/bin/cs2cs")
        {
            UseShellExecute = false,
            RedirectStandardInput = true,
            RedirectStandardOutput = true,
            RedirectStandardError = true,
            StandardInputEncoding = new UTF8Encoding(false),
        };
        foreach (
            string word in new[]
            {
                "-f",
                "%.7f",
                string.Create(CultureInfo.InvariantCulture, $"EPSG:{from}"),
                string.Create(CultureInfo.InvariantCulture, $"EPSG:{to}"),
            }
        )
        {
            start.ArgumentList.Add(word);
        }

        using Process process = Process.Start(start)!;
        process.StandardInput.WriteLine(
            string.Create(CultureInfo.InvariantCulture, $"{place.Latitude.Degrees:R} {place.Longitude.Degrees:R}")
        );
        process.StandardInput.Close();
        string[] words = process.StandardOutput.ReadToEnd().Split((char[]?)null, StringSplitOptions.RemoveEmptyEntries);
        process.WaitForExit();
        if (
            words.Length < 2
            || !double.TryParse(words[0], CultureInfo.InvariantCulture, out double first)
            || !double.TryParse(words[1], CultureInfo.InvariantCulture, out double second)
        )
        {
            return null;
        }

        return (first, second);
    }

    private static double Apart(GridPoint got, double east, double north) =>
        Math.Max(Math.Abs(got.EastingMetres - east), Math.Abs(got.NorthingMetres - north));
}
