using Hillrow.Imaging;
using NetTopologySuite.Geometries;
using Xunit;

namespace Hillrow.Estate.Tests;

public sealed class RunOrderTests : IDisposable
{
    private readonly ScratchEstate scratch = new();

    public void Dispose() => scratch.Dispose();

    [Fact]
    public void Of_NoSurvey_HasNothingToDo() => Assert.Empty(RunOrder.Of(scratch.Estate));

    [Fact]
    public void Of_TwoSurveys_IsAnOrderThatTheEngineTakesAndEndsWithTheReport()
    {
        AddSurvey("2026-04-12");
        AddSurvey("2026-08-23");
        IReadOnlyList<RunStep> order = RunOrder.Of(scratch.Estate);
        // Throws when a step reads one that comes later, or two have one key.
        RunPlanner.Check(order);
        Assert.Equal("estate/report", order[^1].Key.ToString());
        Assert.Equal(
            ["intake", "radiometry", "reconstruction", "light", "mapping", "plants", "observations"],
            order.Where(step => step.Key.Subject == "2026-08-23").Select(step => step.Key.Step)
        );
    }

    [Fact]
    public void Of_AnySurvey_SaysForEveryStepHowItWorksInThreeLanguages()
    {
        AddSurvey("2026-04-12");
        Assert.All(
            RunOrder.Of(scratch.Estate),
            step =>
            {
                Assert.NotEmpty(step.Method);
                Assert.NotEmpty(step.Source);
                Assert.DoesNotContain(
                    "\"threads\":",
                    step.Settings.Replace("\"threads\":1", "", StringComparison.Ordinal),
                    StringComparison.Ordinal
                );
                string[] words = [step.Doing.English, step.Doing.Spanish, step.Doing.Portuguese];
                Assert.All(words, Assert.NotEmpty);
            }
        );
    }

    [Fact]
    public void Of_SettingsOfSteps_NameNoPathOfThisMachine()
    {
        AddSurvey("2026-04-12");
        Assert.All(
            RunOrder.Of(scratch.Estate),
            step => Assert.DoesNotContain(scratch.Folder, step.Settings, StringComparison.Ordinal)
        );
    }

    [Fact]
    public void Of_BlockMovedALittle_AsksForNoReconstruction()
    {
        AddSurvey("2026-04-12");
        string Settings() =>
            RunOrder.Of(scratch.Estate).Single(step => step.Key.Step == ReconstructionStep.Name).Settings;
        string without = Settings();
        BlockBook book = new(scratch.Estate);
        book.Store([Square(500_003, 9_200_003, 60)], replace: false);
        string one = Settings();
        book.Store([Square(500_004, 9_200_004, 60)], replace: true);
        Assert.NotEqual(without, one);
        Assert.Equal(one, Settings());
        book.Store([Square(500_004, 9_200_004, 160)], replace: true);
        Assert.NotEqual(one, Settings());
    }

    [Fact]
    public void MappedArea_OfABlock_HoldsItWithItsMargin()
    {
        MappedArea area = MappedArea.Of([Square(500_003, 9_200_003, 60)])!;
        Assert.Equal(new MappedArea(499_980, 9_199_980, 500_080, 9_200_080), area);
        Assert.Null(MappedArea.Of([]));
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
            ""
        );

    [Fact]
    public void Run_CardThatIsNoPicture_IsRefusedAllTheWayAndSaysWhy()
    {
        AddSurvey("2026-04-12");
        RunEngine engine = new(scratch.Estate, ProgramIdentity.Current(), 1, new SilentProgress());
        RunSummary summary = engine.Run(RunOrder.Of(scratch.Estate), TestContext.Current.CancellationToken);
        Assert.DoesNotContain(summary.Steps, step => step.End is StepEnd.Done or StepEnd.Failed);
        Assert.Null(scratch.Estate.CurrentReport());
    }

    [Fact]
    public void Of_ColourCameraAlone_EndsWithTheMap()
    {
        AddSurvey("2026-04-12");
        CameraProfile colours = new()
        {
            Name = "colours",
            ReferenceBandName = "green",
            ShortestTriggerIntervalSeconds = 1,
            Bands = [Band("red", 610), Band("green", 540), Band("blue", 460)],
        };
        File.WriteAllText(Path.Combine(scratch.Estate.CamerasFolder, "own.toml"), colours.ToToml());
        IReadOnlyList<RunStep> order = RunOrder.Of(scratch.Estate);
        RunPlanner.Check(order);
        Assert.Equal(
            ["intake", "radiometry", "reconstruction", "light", "mapping"],
            order.Select(step => step.Key.Step)
        );
    }

    private static CameraBand Band(string name, double nanometres) =>
        new()
        {
            Name = name,
            CentreNanometres = nanometres,
            WidthNanometres = 80,
            Sensor = new BandSensor(400, 300, 3, 8),
            Lens = new BrownConradyLens(300, 400, new BrownConradyValues(300, 300, new PixelPoint(200, 150))),
            Mount = CameraMount.Reference,
        };

    private void AddSurvey(string id)
    {
        SurveyFolder survey = scratch.Estate.AddSurvey(id);
        string card = Path.Combine(survey.Captures, "card-1");
        Directory.CreateDirectory(card);
        File.WriteAllText(Path.Combine(card, "0001.tif"), "no picture");
        File.WriteAllText(survey.SettingsFile, SurveyToml.Write(new SurveySettings("cameras/own.toml")));
        File.WriteAllText(Path.Combine(scratch.Estate.CamerasFolder, "own.toml"), "name = 3");
    }
}
