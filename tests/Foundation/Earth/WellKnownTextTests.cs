using System.Diagnostics;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Earth.Tests;

public sealed class WellKnownTextTests
{
    private const string PlainPrj =
        "PROJCS[\"WGS_1984_UTM_Zone_18S\",GEOGCS[\"GCS_WGS_1984\",DATUM[\"D_WGS_1984\",SPHEROID[\"WGS_1984\",6378137.0,298.257223563]],PRIMEM[\"Greenwich\",0.0],UNIT[\"Degree\",0.0174532925199433]],PROJECTION[\"Transverse_Mercator\"],PARAMETER[\"False_Easting\",500000.0],PARAMETER[\"False_Northing\",10000000.0],PARAMETER[\"Central_Meridian\",-75.0],PARAMETER[\"Scale_Factor\",0.9996],PARAMETER[\"Latitude_Of_Origin\",0.0],UNIT[\"Meter\",1.0]]";

    [Fact]
    public void Read_PrjWithoutCodes_FindsTheCode() =>
        Assert.Equal(32718, WellKnownText.Read(PlainPrj, "north.prj").EpsgCode);

    [Fact]
    public void Read_OwnGrid_ComputesWithItsParameters()
    {
        string own = PlainPrj
            .Replace("-75.0", "-74.5", StringComparison.Ordinal)
            .Replace("WGS_1984_UTM_Zone_18S", "Estate grid", StringComparison.Ordinal);
        ReferenceSystem system = WellKnownText.Read(own, "north.prj");
        Assert.Equal(0, system.EpsgCode);
        Assert.Equal("Estate grid", system.Name);
        Assert.Equal(500000, system.ToGrid(GeographicPoint.FromDegrees(-3, -74.5)).EastingMetres, 6);
        Assert.Equal(system, WellKnownText.Read(own, "south.prj"));
    }

    [Theory]
    [InlineData("WKT1_GDAL")]
    [InlineData("WKT1_ESRI")]
    [InlineData("WKT2:2015")]
    [InlineData("WKT2:2019")]
    public void Read_ProjWritesItsDialects_AllAreUnderstoodWithAndWithoutCodes(string dialect)
    {
        Assert.SkipUnless(File.Exists("/usr/bin/projinfo"), "projinfo is not installed (Debian: proj-bin).");
        foreach (
            int code in new[]
            {
                4326,
                4258,
                4674,
                4269,
                32717,
                31983,
                25832,
                2154,
                9377,
                3116,
                3448,
                5367,
                3857,
                3405,
                27700,
                3577,
                3395,
            }
        )
        {
            string text = ProjInfo(code, dialect);
            // The .prj dialect has no codes: a datum under a name of its own leaves the system without one.
            int found = WellKnownText.Read(text, "layer").EpsgCode;
            Assert.True(found == code || (found == 0 && dialect == "WKT1_ESRI"), $"{code} read as {found}");

            // Again without codes: by names and parameters, to the same places.
            string bare = text.Replace("\"EPSG\"", "\"NONE\"", StringComparison.Ordinal);
            ReferenceSystem system = WellKnownText.Read(bare, "layer");
            ReferenceSystem known = new(code);
            Assert.Equal(known.IsGeographic, system.IsGeographic);
            if (known.Projection is { } projection)
            {
                GeographicPoint place = GeographicPoint.FromDegrees(
                    projection.Parameters.OriginLatitudeDegrees
                        + (projection.Parameters.FalseNorthingMetres > 9e6 ? -7 : 7),
                    projection.Parameters.CentralMeridianDegrees + 1.25
                );
                GridPoint want = projection.Forward(place);
                GridPoint got = system.Projection!.Forward(place);
                Assert.Equal(want.EastingMetres, got.EastingMetres, 1e-3);
                Assert.Equal(want.NorthingMetres, got.NorthingMetres, 1e-3);
            }
        }
    }

    [Theory]
    [InlineData("", "not well-known text")]
    [InlineData("hello", "not well-known text")]
    [InlineData("GEOGCS[\"x\"", "breaks off")]
    [InlineData("GEOGCS[\"x", "without an end")]
    [InlineData("GEOGCS[\"x\",UNIT[\"degree\",0.0.1]]", "no number")]
    [InlineData("GEOGCS[\"x\"]", "datum and ellipsoid")]
    [InlineData("LOCAL_CS[\"site\"]", "LOCAL_CS")]
    public void Read_Broken_SaysWhereInOneLine(string text, string words)
    {
        InputProblemException problem = Assert.Throws<InputProblemException>(() =>
            WellKnownText.Read(text, "north.prj")
        );
        Assert.StartsWith("north.prj: ", problem.Message, StringComparison.Ordinal);
        Assert.Contains(words, problem.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Read_ControlCharactersAndEndlessNames_StayOutOfTheMessage()
    {
        string damaged = PlainPrj.Replace(
            "Transverse_Mercator",
            "Transverse_M\0\ncator" + new string('x', 5000),
            StringComparison.Ordinal
        );
        InputProblemException problem = Assert.Throws<InputProblemException>(() =>
            WellKnownText.Read(damaged, "north.prj")
        );
        Assert.DoesNotContain(problem.Message, char.IsControl);
        Assert.InRange(problem.Message.Length, 50, 600);
        Assert.Contains("Reproject", problem.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Read_NestedWithoutEnd_IsRefused() =>
        Assert.Throws<InputProblemException>(() =>
            WellKnownText.Read(string.Concat(Enumerable.Repeat("GEOGCS[", 5000)), "north.prj")
        );

    [Fact]
    public void Read_FeetOrUnknownMethodOrDatum_IsRefusedWithRemedy()
    {
        foreach (
            string text in new[]
            {
                PlainPrj.Replace(
                    "UNIT[\"Meter\",1.0]",
                    "UNIT[\"Foot_US\",0.3048006096012192]",
                    StringComparison.Ordinal
                ),
                PlainPrj.Replace("Transverse_Mercator", "Polyconic", StringComparison.Ordinal),
                PlainPrj
                    .Replace("WGS_1984", "Somewhere", StringComparison.Ordinal)
                    .Replace("6378137.0,298.257223563", "6378388,297", StringComparison.Ordinal),
            }
        )
        {
            InputProblemException problem = Assert.Throws<InputProblemException>(() =>
                WellKnownText.Read(text, "north.prj")
            );
            Assert.Contains("Reproject", problem.Message, StringComparison.Ordinal);
        }
    }

    [Fact]
    public void GeoTiffKeys_CodesAndParameters_AreUnderstood()
    {
        Dictionary<int, string> none = [];
        Assert.Equal(
            32717,
            GeoTiffKeys.Read(new Dictionary<int, double> { [1024] = 1, [3072] = 32717 }, none, "dem.tif").EpsgCode
        );
        Assert.Equal(
            4326,
            GeoTiffKeys.Read(new Dictionary<int, double> { [1024] = 2, [2048] = 4326 }, none, "dem.tif").EpsgCode
        );
        Assert.Equal(
            32618,
            GeoTiffKeys
                .Read(
                    new Dictionary<int, double>
                    {
                        [1024] = 1,
                        [2048] = 4326,
                        [3072] = 32767,
                        [3074] = 16018,
                    },
                    none,
                    "dem.tif"
                )
                .EpsgCode
        );
        Dictionary<int, double> lambert = new()
        {
            [1024] = 1,
            [2048] = 4171,
            [3072] = 32767,
            [3074] = 32767,
            [3075] = 8,
            [3078] = 49,
            [3079] = 44,
            [3084] = 3,
            [3085] = 46.5,
            [3086] = 700000,
            [3087] = 6600000,
        };
        Assert.Equal(2154, GeoTiffKeys.Read(lambert, none, "dem.tif").EpsgCode);
        Assert.Throws<InputProblemException>(() => GeoTiffKeys.Read(new Dictionary<int, double>(), none, "dem.tif"));
        Assert.Throws<InputProblemException>(() =>
            GeoTiffKeys.Read(new Dictionary<int, double> { [1024] = 1, [3072] = 2263 }, none, "dem.tif")
        );
    }

    private static string ProjInfo(int code, string dialect)
    {
        ProcessStartInfo start = new("/usr/bin/projinfo") { UseShellExecute = false, RedirectStandardOutput = true };
        foreach (string word in new[] { $"EPSG:{code}", "-o", dialect, "-q", "--single-line" })
        {
            start.ArgumentList.Add(word);
        }

        using Process process = Process.Start(start)!;
        string text = process.StandardOutput.ReadToEnd();
        process.WaitForExit();
        return text.Trim();
    }
}
