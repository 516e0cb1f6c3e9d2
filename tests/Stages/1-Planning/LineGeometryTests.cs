using Hillrow.Checks;
using Hillrow.Sight;
using Xunit;

namespace Hillrow.Planning.Tests;

/// <summary>How far lines go on beyond an edge, what ways cost, and what share of places is promised.</summary>
public sealed class LineGeometryTests
{
    /// <summary>By hand: three lines 10 m apart; with one reach of 25 m the window needs 5 m more beyond that edge.</summary>
    [Fact]
    public void SeenWindow_WideSlice_GoesOnByWhatTheReachLacks()
    {
        SeenWindow window = new(30, 25, 12);
        Assert.Equal(5, window.BelowMetres(200), 12);
        Assert.Equal(18, window.AboveMetres(200), 12);
    }

    [Fact]
    public void SeenWindow_NarrowSlice_FillsTheWindowFromBothSides()
    {
        SeenWindow window = new(30, 40, 40);
        // The reach alone would ask for nothing, but 30 m of lines must lie around a slice of 4 m.
        Assert.Equal(13, window.BelowMetres(4), 12);
        Assert.Equal(13, window.AboveMetres(4), 12);
        Assert.Equal(0, window.BelowMetres(100));
    }

    /// <summary>The plain twin: count lines, one every spacing with any phase, that see a place at the edge.</summary>
    [Theory]
    [InlineData(30, 25, 12, 200)]
    [InlineData(30, 18, 20, 200)]
    [InlineData(24, 16, 15, 5)]
    public void SeenWindow_LinesWithinIt_SeeEveryPlaceOfTheSlice(double length, double low, double high, double width)
    {
        const int Views = 3;
        SeenWindow window = new(length, low, high);
        double spacing = length / Views;
        double from = -window.BelowMetres(width);
        double to = width + window.AboveMetres(width);
        for (double phase = 0; phase < spacing; phase += spacing / 7)
        {
            for (double place = 0; place <= width; place += width / 20)
            {
                int seen = 0;
                for (double line = from + phase - spacing; line <= to + 1e-9; line += spacing)
                {
                    // A line sees towards higher coordinates by its high reach, towards lower by its low reach.
                    bool flown = line >= from - 1e-9;
                    seen += flown && place - line <= high + 1e-9 && line - place <= low + 1e-9 ? 1 : 0;
                }

                // low + high may be shorter than the window; then not even endless lines give more.
                int endless = (int)Math.Floor(((low + high) / spacing) + 1e-9);
                Assert.True(seen >= Math.Min(Views, endless) - 1, $"{seen} at {place}, phase {phase}");
            }
        }
    }

    [Fact]
    public void Directions_WaysInTheCost_AreAsLongAsThePlansTurnsAndTransits()
    {
        PlanningResult plan = PlanningStage.Run(
            PlanScene.Input(
                PlanScene.Ground(900, 20, (_, _) => 0),
                0.3,
                [PlanScene.Rectangle(-110, -90, 220, 180)],
                new PlanPoint(-260, -240)
            ) with
            {
                Aircraft = PlanScene.Aircraft with { BatteryWattHours = 5000, HeightSigmaMetres = 0.3 },
            },
            new PlanningSettings { LineOfSightMetres = 5000, CanopyMetres = 0 }
        );
        Sortie flown = Assert.Single(plan.Sorties);
        DirectionCost told = plan.Fields[0].Chosen;
        Assert.Equal(flown.TurnMetres + flown.TransitMetres, told.WayMetres, 0.06 * flown.LengthMetres);
        Assert.Equal(flown.LineMetres, told.LineMetres, 0.06 * flown.LengthMetres);
    }

    /// <summary>The promise against a plain count: raise the ground by errors drawn evenly in probability and look again.</summary>
    [Fact]
    public void Promise_AgainstGroundRaisedByEachError_IsTheirMean()
    {
        PlanningInput input = PlanScene.Input(
            PlanScene.Ground(500, 15, (east, north) => (0.2 * north) + (5 * Math.Sin(east / 60))),
            8,
            [PlanScene.Rectangle(-90, -70, 180, 140)],
            new PlanPoint(-100, -80)
        );
        PlanningSettings settings = new() { LineOfSightMetres = 900 };
        PlanningResult plan = PlanningStage.Run(input, settings);
        Assert.InRange(plan.Coverage.PromisedShare, settings.OverlapProbability, 1);
        double sigma = Math.Sqrt((8 * 8) + Math.Pow(input.Aircraft.HeightSigmaMetres, 2));
        const int Draws = 40;
        double sum = 0;
        for (int draw = 0; draw < Draws; draw++)
        {
            double error = sigma * Numerics.Distributions.NormalDistribution.Quantile((draw + 0.5) / Draws);
            sum += ShareSeen(plan, error);
        }

        Assert.Equal(sum / Draws, plan.Coverage.PromisedShare, 0.012);
    }

    private static double ShareSeen(PlanningResult plan, double error)
    {
        int kept = 0;
        int places = 0;
        for (double east = -88; east <= 88; east += 8)
        {
            for (double north = -68; north <= 68; north += 8)
            {
                double top = plan.Input.Terrain.HeightAt(east, north) + plan.Settings.CanopyMetres + error;
                places++;
                kept +=
                    plan.Sorties.SelectMany(sortie =>
                            sortie.Captures.Select(capture =>
                                (Line: (sortie.Number, capture.Line), Sees: Sees(capture, east, north, top))
                            )
                        )
                        .Where(one => one.Sees)
                        .GroupBy(one => one.Line)
                        .Count(line => line.Count() >= plan.Settings.ViewsAlong) >= plan.Settings.ViewsAcross
                        ? 1
                        : 0;
            }
        }

        return (double)kept / places;
    }

    // The scene's pinhole, written out.
    private static bool Sees(PlannedTrigger capture, double east, double north, double top)
    {
        double depth = capture.PositionLocalMetres.Z - top;
        (double sine, double cosine) = Math.SinCos(capture.YawDegrees * Math.PI / 180);
        double dx = east - capture.PositionLocalMetres.X;
        double dy = north - capture.PositionLocalMetres.Y;
        double right = Math.Abs((dx * cosine) - (dy * sine));
        double ahead = Math.Abs((dx * sine) + (dy * cosine));
        return depth > 0 && right * 1594.2 <= 728 * depth && ahead * 1594.2 <= 544 * depth;
    }
}
