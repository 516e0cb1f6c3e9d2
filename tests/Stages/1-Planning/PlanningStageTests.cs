using System.Globalization;
using Hillrow.Checks;
using Hillrow.Earth;
using Hillrow.Numerics;
using Hillrow.Sight;
using Xunit;

namespace Hillrow.Planning.Tests;

public sealed class PlanningStageTests
{
    private static readonly PlanPolygon Block = new(
        PlanScene.Rectangle(-110, -90, 220, 180).Outer,
        [PlanScene.Rectangle(-20, -20, 50, 40).Outer]
    );

    private static readonly PlanPoint Home = new(-120, -100);

    private static PlanningInput Input(double sigma = 1) =>
        PlanScene.Input(
            PlanScene.Ground(450, 15, (east, north) => (0.25 * north) + (8 * Math.Sin(east / 70))),
            sigma,
            [Block],
            Home
        );

    [Theory]
    [Trait("Pace", "long")]
    [InlineData(11)]
    [InlineData(12)]
    [InlineData(13)]
    [InlineData(14)]
    [InlineData(15)]
    [InlineData(16)]
    public void Run_RandomSite_KeepsEveryLaw(int seed) => Assert.Empty(PlanProperties.Violations((ulong)seed, out _));

    [Fact]
    [Trait("Pace", "long")]
    public void Run_WhatCannotBeFlown_RefusesAndTheRemedyWorks() => Assert.Empty(PlanRefusalCases.Wrong());

    [Fact]
    public void Run_TwoThingsCannotBeAsAsked_OneRefusalNamesBothAndWhatItNamesIsFlown()
    {
        PlanningInput far = Input() with { Homes = [new HomePoint("far", new PlanPoint(-380, -380))] };
        PlanningSettings asked = new() { PixelMetres = 0.09, LineOfSightMetres = 330 };
        InputProblemException refusal = Assert.Throws<InputProblemException>(() => PlanningStage.Run(far, asked));
        Assert.Contains("ceiling", refusal.Problem, StringComparison.Ordinal);
        string[] options = refusal.Remedy[refusal.Remedy.IndexOf("--pixel=", StringComparison.Ordinal)..].Split(' ');
        string[] values = [.. options.Select(option => option[(option.IndexOf('=', StringComparison.Ordinal) + 1)..])];
        Assert.True(values.Length > 2, refusal.Remedy);
        HomePoint Home(string text)
        {
            double[] at = [.. text.Split(',').Select(part => double.Parse(part, CultureInfo.InvariantCulture))];
            Vector3D place = far.Frame.ToLocal(
                GeographicPoint
                    .FromDegrees(at[0], at[1])
                    .AtHeightAboveEllipsoid(far.Frame.Origin.HeightAboveEllipsoidMetres)
            );
            return new HomePoint(text, new PlanPoint(place.X, place.Y));
        }

        PlanningResult plan = PlanningStage.Run(
            far with
            {
                Homes = [.. values.Skip(1).Select(Home)],
            },
            asked with
            {
                PixelMetres = double.Parse(values[0], CultureInfo.InvariantCulture) / 100,
            }
        );
        Assert.NotEmpty(plan.Sorties);
    }

    [Fact]
    public void Run_OneOrTwoThreads_SamePlan()
    {
        PlanningResult one = PlanningStage.Run(Input(), new PlanningSettings { Threads = 1 });
        PlanningResult two = PlanningStage.Run(Input(), new PlanningSettings { Threads = 2 });
        Assert.Equal(PlanJson.Of(one, "same"), PlanJson.Of(two, "same"));
    }

    [Fact]
    public void Run_SmallBattery_CutsLinesWithoutLosingACapture()
    {
        PlanningResult whole = PlanningStage.Run(Input(), new PlanningSettings());
        PlanningResult cut = PlanningStage.Run(
            Input() with
            {
                Aircraft = PlanScene.Aircraft with { BatteryWattHours = 18, Power = new PowerCurve([0], [270], 27) },
            },
            new PlanningSettings()
        );
        Assert.True(cut.Sorties.Count >= 3, $"{cut.Sorties.Count} sorties");
        Assert.All(cut.Sorties, sortie => Assert.True(sortie.EnergyWattHours <= sortie.BudgetWattHours));
        HashSet<(long, long)> places = [.. cut.Sorties.SelectMany(sortie => sortie.Captures).Select(Rounded)];
        Assert.DoesNotContain(
            whole.Sorties.SelectMany(sortie => sortie.Captures).Select(Rounded),
            at => !places.Contains(at)
        );

        static (long, long) Rounded(PlannedTrigger capture) =>
            (
                (long)Math.Round(capture.PositionLocalMetres.X * 20),
                (long)Math.Round(capture.PositionLocalMetres.Y * 20)
            );
    }

    [Fact]
    public void Run_NoFlyAreaBetweenHomeAndBlock_NoPlaceOfTheRouteLiesInIt()
    {
        PlanPolygon area = PlanScene.Rectangle(-60, 30, 60, 40);
        PlanningSettings settings = new() { NoFlyMarginMetres = 12, LineOfSightMetres = 900 };
        PlanningResult plan = PlanningStage.Run(
            Input() with
            {
                NoFly = [new NoFlyArea("school", area)],
                Homes = [new HomePoint("north", new PlanPoint(-30, 160))],
            },
            settings
        );
        PlanPolygon wide = PlanScene.Rectangle(-60 - 8, 30 - 8, 76, 56);
        Assert.DoesNotContain(plan.Sorties.SelectMany(sortie => sortie.Route), sample => wide.Contains(sample.Place));
    }

    [Fact]
    public void Run_MastOnTheLine_FliesOverItByTheClearance()
    {
        PlanningSettings settings = new() { LineOfSightMetres = 900 };
        // Where a capture would be taken: the line passes right over it.
        PlannedTrigger over = PlanningStage.Run(Input(), settings).Sorties[0].Captures[40];
        PlanPoint mast = new(over.PositionLocalMetres.X, over.PositionLocalMetres.Y);
        PlanningResult plan = PlanningStage.Run(
            Input() with
            {
                Obstacles = [new Obstacle("mast", ObstacleShape.Point, [mast], 45)],
            },
            settings
        );
        double top = plan.Input.Terrain.HeightAt(mast.EastMetres, mast.NorthMetres) + 45;
        RouteSample[] near =
        [
            .. plan.Sorties.SelectMany(sortie => sortie.Route).Where(at => at.Place.DistanceTo(mast) < 5),
        ];
        Assert.NotEmpty(near);
        Assert.All(near, sample => Assert.True(sample.UpMetres - top >= 15));
    }

    [Fact]
    public void Run_BetterTerrain_NeedsFewerCaptures()
    {
        PlanningResult coarse = PlanningStage.Run(Input(9.7), new PlanningSettings());
        PlanningResult fine = PlanningStage.Run(Input(0.5), new PlanningSettings());
        Assert.True(fine.CaptureCount < 0.7 * coarse.CaptureCount, $"{fine.CaptureCount} of {coarse.CaptureCount}");
    }

    [Fact]
    public void Run_ContourDirection_ClimbsLessOnTheSlope()
    {
        PlanningResult along = PlanningStage.Run(Input(), new PlanningSettings { Direction = LineDirection.Contour });
        PlanningResult across = PlanningStage.Run(
            Input(),
            new PlanningSettings { Direction = LineDirection.Given, DirectionDegrees = 0 }
        );
        Assert.True(along.Sorties.Sum(one => one.ClimbMetres) < 0.6 * across.Sorties.Sum(one => one.ClimbMetres));
    }
}
