using System.Globalization;
using System.Text.Json;
using System.Text.RegularExpressions;
using Hillrow.Imaging;
using Hillrow.Planning;
using Xunit;
using static Hillrow.App.Tests.CommandAnswer;

namespace Hillrow.App.Tests;

/// <summary>Plans of a second look, and a plan flown over the modelled estate, by the commands that people type.</summary>
public sealed partial class PlanCommandTests : IDisposable
{
    private const int Matching = 2000;

    private readonly string folder = Directory.CreateTempSubdirectory("hillrow-plan-").FullName;
    private readonly string home;
    private readonly double latitude;
    private readonly double longitude;

    public PlanCommandTests()
    {
        CommandAnswer made = Run(
            "rehearse",
            "estate",
            Estate,
            "--hectares",
            "0.3",
            "--dates",
            "2026-04-12",
            "--thermal"
        );
        Assert.True(made.Code == 0, made.Error);
        // Without a home the plan is refused, and says where the middle of the blocks is.
        CommandAnswer refused = Run("plan", Estate);
        Assert.Equal(2, refused.Code);
        Match told = Middle().Match(refused.Error);
        Assert.True(told.Success, refused.Error);
        home = told.Value;
        latitude = Number(told.Groups["latitude"].Value);
        longitude = Number(told.Groups["longitude"].Value);
    }

    private string Estate => Path.Combine(folder, "estate");

    public void Dispose()
    {
        Directory.Delete(folder, recursive: true);
    }

    [Fact]
    public void Plan_PatchesOfTheLastMap_FlyFinerOverThemOnly()
    {
        JsonElement whole = Plan("--pixel", "6", "--name", "whole");
        // As the decline command leaves its patches: polygons with numbers and words beside.
        string patches = Write(
            "decline-patches.geojson",
            Feature(0, 0, 5, """{"patch":1,"plants":7,"since":"2026-04-12"}"""),
            Feature(16, 12, 4, """{"patch":2,"plants":4,"since":null}""")
        );
        JsonElement finer = Plan("--targets", patches, "--pixel", "3", "--clearance", "5", "--name", "finer");
        Assert.Equal(
            whole.GetProperty("heightMetres").GetDouble() / 2,
            finer.GetProperty("heightMetres").GetDouble(),
            1e-6
        );
        JsonElement wholeFiner = Plan("--pixel", "3", "--clearance", "5", "--name", "whole-finer");
        Assert.True(
            finer.GetProperty("captures").GetInt32() < wholeFiner.GetProperty("captures").GetInt32(),
            $"{finer} against {wholeFiner}"
        );
        Assert.True(finer.GetProperty("views").GetProperty("least").GetInt32() >= 15);
        // Both patches in as few sorties as the battery allows: one.
        Assert.Equal(1, finer.GetProperty("sorties").GetArrayLength());
    }

    [Fact]
    public void Plan_HolesOfTheFieldCheck_AreFlownAgain()
    {
        string holes = Write(
            "holes.geojson",
            Feature(
                5,
                5,
                8,
                """{"name":"hole 1","block":"North","areaSquareMetres":256,"widthMetres":16,"minutes":2}"""
            )
        );
        JsonElement again = Plan("--targets", holes, "--name", "again");
        JsonElement whole = Plan("--name", "whole");
        Assert.True(
            again.GetProperty("captures").GetInt32() < 0.8 * whole.GetProperty("captures").GetInt32(),
            $"{again} against {whole}"
        );
        Assert.True(File.Exists(Path.Combine(Estate, "flights", "plans", "again", "flight-card.pdf")));
    }

    [Fact]
    public void Plan_ThermalBand_RulesByItsOwnPixelAndPicture()
    {
        string profile = Directory.EnumerateFiles(Path.Combine(Estate, "cameras"), "*.toml").Single();
        CameraProfile camera = CameraProfile.Load(profile);
        string band = camera.Bands.Single(one => one.Kind == BandKind.Thermal).Name;
        JsonElement plan = Plan("--band", band, "--pixel", "22", "--name", "warm");
        PlanCamera thermal = PlanCamera.Of(camera, band);
        Assert.Equal(0.22 / thermal.PixelAngleRadians, plan.GetProperty("heightMetres").GetDouble(), 1e-6);
        double other = 0.22 / PlanCamera.Of(camera).PixelAngleRadians;
        Assert.True(Math.Abs(other - plan.GetProperty("heightMetres").GetDouble()) > 1);
        Assert.True(plan.GetProperty("views").GetProperty("least").GetInt32() >= 15);
    }

    [Fact]
    public void Plan_DrawnAreaWithoutAPolygon_SaysWhatToDraw()
    {
        string file = Path.Combine(folder, "point.geojson");
        File.WriteAllText(
            file,
            """{"type":"FeatureCollection","features":[{"type":"Feature","properties":{},"geometry":{"type":"Point","coordinates":[0,0]}}]}"""
        );
        CommandAnswer answer = Run("plan", Estate, home, "--targets", file);
        Assert.Equal(2, answer.Code);
        Assert.Contains("point.geojson", answer.Error, StringComparison.Ordinal);
    }

    /// <summary>The card that the rehearsal leaves has the plan's sortie, capture by capture.</summary>
    [Fact]
    [Trait("Pace", "long")]
    public void RehearseFly_SortieOfAPlan_TakesItsCaptures()
    {
        string area = Write("area.geojson", Feature(0, 0, 6, "{}"));
        JsonElement plan = Plan(
            "--targets",
            area,
            "--target-margin",
            "0",
            "--forward",
            "40",
            "--side",
            "30",
            "--name",
            "small"
        );
        int captures = plan.GetProperty("sorties")[0].GetProperty("captures").GetInt32();
        Assert.InRange(captures, 1, 12);
        CommandAnswer flown = Run("rehearse", "fly", Estate, "--plan", "small", "--sortie", "1", "--json");
        Assert.True(flown.Code == 0, flown.Error);
        // The grey panel is taken before and after, whatever is flown.
        const int Panels = 2;
        Assert.Equal(captures + Panels, flown.Result.GetProperty("captures").GetInt32());
        CommandAnswer none = Run("rehearse", "fly", Estate, "--plan", "small", "--sortie", "9");
        Assert.Equal(2, none.Code);
        Assert.Contains("no sortie 9", none.Error, StringComparison.Ordinal);
        CommandAnswer alone = Run("rehearse", "fly", Estate, "--sortie", "1");
        Assert.Equal(2, alone.Code);
        Assert.Contains("--plan", alone.Error, StringComparison.Ordinal);
    }

    private JsonElement Plan(params string[] options)
    {
        CommandAnswer answer = Run(["plan", Estate, home, .. options, "--json"]);
        Assert.True(answer.Code == 0, answer.Error);
        return answer.Result;
    }

    private string Write(string name, params string[] features)
    {
        string file = Path.Combine(folder, name);
        File.WriteAllText(file, $$"""{"type":"FeatureCollection","features":[{{string.Join(',', features)}}]}""");
        return file;
    }

    /// <summary>A square around a place told in metres from the middle of the blocks.</summary>
    private string Feature(double east, double north, double half, string properties)
    {
        const double MetresPerDegree = 111_000;
        string At(double x, double y) =>
            string.Create(
                CultureInfo.InvariantCulture,
                $"[{longitude + ((east + x) / (MetresPerDegree * Math.Cos(latitude * Math.PI / 180))):0.00000000},{latitude + ((north + y) / MetresPerDegree):0.00000000}]"
            );
        string ring = string.Join(
            ',',
            At(-half, -half),
            At(half, -half),
            At(half, half),
            At(-half, half),
            At(-half, -half)
        );
        return $$$"""{"type":"Feature","properties":{{{properties}}},"geometry":{"type":"Polygon","coordinates":[[{{{ring}}}]]}}""";
    }

    private static double Number(string text) => double.Parse(text, CultureInfo.InvariantCulture);

    [GeneratedRegex(
        "--home=(?<latitude>[-0-9.]+),(?<longitude>[-0-9]+\\.[0-9]+)",
        RegexOptions.ExplicitCapture,
        Matching
    )]
    private static partial Regex Middle();
}
