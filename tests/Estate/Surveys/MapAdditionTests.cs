using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Mapping;
using Hillrow.Numerics;
using NetTopologySuite.Geometries;
using Xunit;

namespace Hillrow.Estate.Tests;

public sealed class MapAdditionTests : IDisposable
{
    private static readonly DateOnly Day = new(2026, 3, 14);
    private readonly ScratchEstate scratch = new();

    public void Dispose() => scratch.Dispose();

    [Fact]
    public void Add_MapWithHeights_IsASurveyWithoutCamera()
    {
        SurveyAdded added = MapAddition.Add(
            scratch.Estate,
            new GivenMap(Picture("map", 40)) { Surface = Heights("surface", 0), Bands = "red,green,nir" },
            new SurveyWishes(Day)
        );
        Assert.Equal("2026-03-14", added.Survey.Id);
        Assert.Null(added.Camera);
        Assert.Equal(2, added.Files);
        SurveySettings settings = SurveyToml.Read(added.Survey.SettingsFile);
        Assert.Equal(["red", "green", "nir"], settings.Map!.Bands);
        Assert.Null(settings.Map.ReflectanceOne);
        IReadOnlyList<RunStep> order = RunOrder.Of(scratch.Estate);
        RunPlanner.Check(order);
        Assert.Equal(
            ["mapping", "plants", "observations"],
            order.Where(step => step.Key.Subject == added.Survey.Id).Select(step => step.Key.Step)
        );
    }

    [Fact]
    public void Add_MapBetweenSurveysFromCards_IsNoTieForThem()
    {
        MapAddition.Add(
            scratch.Estate,
            new GivenMap(Picture("map", 40)) { Bands = "red,green,nir" },
            new SurveyWishes(Day)
        );
        SurveyFolder later = scratch.Estate.AddSurvey("2026-05-01");
        Directory.CreateDirectory(later.Captures);
        File.WriteAllText(later.SettingsFile, SurveyToml.Write(new SurveySettings("cameras/own.toml")));
        IReadOnlyList<RunStep> order = RunOrder.Of(scratch.Estate);
        RunPlanner.Check(order);
        RunStep reconstruction = order.Single(step => step.Key.Step == "reconstruction");
        Assert.DoesNotContain(reconstruction.Inputs, input => input.Name == "2026-03-14");
    }

    [Fact]
    public void SurveyToml_MapWithReflectance_ReadsBackEqual()
    {
        string file = Path.Combine(scratch.Folder, "survey.toml");
        File.WriteAllText(
            file,
            SurveyToml.Write(new SurveySettings(null, new BroughtBands(["red", "-", "nir", "mask"], 10_000)))
        );
        BroughtBands back = SurveyToml.Read(file).Map!;
        Assert.Equal(["red", "-", "nir", "mask"], back.Bands);
        Assert.Equal(10_000, back.ReflectanceOne);
    }

    [Theory]
    [InlineData("[map]\nbands = []")]
    [InlineData("[map]\nbands = [\"Red!\"]")]
    [InlineData("[map]\nbands = [\"red\"]\nreflectance_one = -2")]
    [InlineData("camera = \"cameras/a.toml\"\n[map]\nbands = [\"red\"]")]
    [InlineData("[map]\nbands = [\"red\"]\nother = 1")]
    public void SurveyToml_WrongMap_IsRefused(string text)
    {
        string file = Path.Combine(scratch.Folder, "survey.toml");
        File.WriteAllText(file, text);
        Assert.Throws<InputProblemException>(() => SurveyToml.Read(file));
    }

    [Fact]
    public void Add_SameMapAgain_IsRefusedWithItsSurvey()
    {
        string map = Picture("map", 40);
        MapAddition.Add(scratch.Estate, new GivenMap(map) { Bands = "red,green,nir" }, new SurveyWishes(Day));
        InputProblemException problem = Assert.Throws<InputProblemException>(() =>
            MapAddition.Add(
                scratch.Estate,
                new GivenMap(map) { Bands = "red,green,nir" },
                new SurveyWishes(Day.AddDays(3))
            )
        );
        Assert.Contains("2026-03-14", problem.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Add_WrongMaps_AreRefusedWithWhatToDo()
    {
        string map = Picture("map", 40);
        void Refuses(GivenMap given, string word, DateOnly? day)
        {
            InputProblemException problem = Assert.Throws<InputProblemException>(() =>
                MapAddition.Add(scratch.Estate, given, new SurveyWishes(day))
            );
            Assert.Contains(word, problem.Message, StringComparison.Ordinal);
        }

        Refuses(new GivenMap(map) { Bands = "red,green,nir" }, "--date", null);
        Refuses(new GivenMap(map), "--bands", Day);
        Refuses(new GivenMap(map) { Bands = "red,nir" }, "3 bands", Day);
        Refuses(new GivenMap(map) { Bands = "red,a b,nir" }, "a b", Day);
        Refuses(new GivenMap(Path.Combine(scratch.Folder, "none.tif")), "does not exist", Day);
        Refuses(new GivenMap(map) { Bands = "red,green,nir", Ground = map }, "--surface", Day);
        Refuses(
            new GivenMap(map) { Bands = "red,green,nir", Surface = Heights("far", 5000) },
            "where the map lies",
            Day
        );
        Refuses(new GivenMap(map) { Bands = "red,green,nir", ReflectanceOne = -1 }, "above 0", Day);
        Assert.DoesNotContain(scratch.Estate.Surveys(), survey => File.Exists(survey.SettingsFile));
    }

    [Fact]
    public void Run_MapWithSurfaceAndNoGround_GoesOnToTheReportWithItsMarks()
    {
        new BlockBook(scratch.Estate).Store([Square(500_002, 9_199_962, 36)], replace: false);
        MapAddition.Add(
            scratch.Estate,
            new GivenMap(Orchard("map")) { Surface = Crowns("surface"), Bands = "red,green,nir" },
            new SurveyWishes(Day)
        );
        RunSummary summary = new RunEngine(scratch.Estate, ProgramIdentity.Current(), 2, new SilentProgress()).Run(
            RunOrder.Of(scratch.Estate),
            TestContext.Current.CancellationToken
        );
        Assert.All(summary.Steps, step => Assert.Equal(StepEnd.Degraded, step.End));
        string page = File.ReadAllText(Path.Combine(scratch.Estate.HandoverFolder, "report.html"));
        Assert.Contains("no standard error", page, StringComparison.Ordinal);
        Assert.Contains("not reflectance", page, StringComparison.Ordinal);
        Assert.Contains("lowest points", page, StringComparison.Ordinal);
        using Microsoft.Data.Sqlite.SqliteConnection connection = scratch.Estate.OpenDatabase();
        long plants = (long)GeoPackageConnection.Scalar(connection, "SELECT count(*) FROM plants")!;
        Assert.InRange(plants, 190, 240);
    }

    private static double Foliage(double x, double y) =>
        Math.Max(
            0,
            1
                - (
                    (
                        (Math.IEEERemainder(x - 1, 2) * Math.IEEERemainder(x - 1, 2))
                        + (Math.IEEERemainder(y - 1.5, 3) * Math.IEEERemainder(y - 1.5, 3))
                    ) / 0.5
                )
        );

    private string Orchard(string name)
    {
        GridGeometry grid = new(scratch.Estate.ReferenceSystem, new GridPoint(500_000, 9_200_000), 0.1, 400, 400);
        Raster<byte> picture = new(new RasterLabel(grid, [new("a"), new("b"), new("c")]));
        for (int at = 0; at < 160_000; at++)
        {
            bool leaf = Foliage((at % 400) * 0.1, at / 400 * 0.1) > 0;
            picture.Band(0)[at] = (byte)(leaf ? 20 : 70);
            picture.Band(1)[at] = (byte)(leaf ? 30 : 60);
            picture.Band(2)[at] = (byte)(leaf ? 120 : 90);
        }

        return Stored(name, picture);
    }

    private string Crowns(string name)
    {
        GridGeometry grid = new(scratch.Estate.ReferenceSystem, new GridPoint(500_000, 9_200_000), 0.1, 400, 400);
        Raster<float> heights = new(RasterLabel.OfOneBand(grid, "height", "m"));
        for (int at = 0; at < 160_000; at++)
        {
            double x = (at % 400) * 0.1;
            double y = at / 400 * 0.1;
            heights.Band(0)[at] = (float)(1200 + (0.3 * x) + (1.8 * Math.Sqrt(Foliage(x, y))));
        }

        return Stored(name, heights);
    }

    private string Picture(string name, int side)
    {
        GridGeometry grid = new(scratch.Estate.ReferenceSystem, new GridPoint(500_000, 9_200_000), 0.1, side, side);
        Raster<byte> picture = new(new RasterLabel(grid, [new("a"), new("b"), new("c")]));
        picture.Fill(77);
        return Stored(name, picture);
    }

    private string Heights(string name, double east)
    {
        GridGeometry grid = new(scratch.Estate.ReferenceSystem, new GridPoint(500_000 + east, 9_200_000), 0.1, 40, 40);
        return Stored(name, new Raster<float>(RasterLabel.OfOneBand(grid, "height", "m")));
    }

    private string Stored<T>(string name, Raster<T> raster)
        where T : unmanaged, System.Numerics.INumber<T>
    {
        string path = Path.Combine(scratch.Folder, name + ".tif");
        Cog.Write(path, raster);
        return path;
    }

    private static Block Square(double west, double south, double side) =>
        new(
            0,
            "North",
            new MultiPolygon([
                new Polygon(
                    new LinearRing([
                        new(west, south),
                        new(west + side, south),
                        new(west + side, south + side),
                        new(west, south + side),
                        new(west, south),
                    ])
                ),
            ]),
            new BlockFacts(),
            "test"
        );
}
