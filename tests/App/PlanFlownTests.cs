using Hillrow.App.Commands;
using Hillrow.Earth;
using Hillrow.Numerics;
using Hillrow.Planning;
using Hillrow.Rehearsal;
using Xunit;

namespace Hillrow.App.Tests;

/// <summary>A plan's triggers carried over to the modelled estate's own frame.</summary>
public sealed class PlanFlownTests
{
    private static readonly LocalFrame Planned = new(GeodeticPosition.FromDegrees(-9.64, -78.28, 1200));

    /// <summary>4 km east and 2 km north: its north is turned against the plan's, its plane tilted.</summary>
    private static readonly LocalFrame Modelled = new(GeodeticPosition.FromDegrees(-9.622, -78.244, 1150));

    [Fact]
    public void Of_AnotherFrame_KeepsEveryPlaceOnTheEarth()
    {
        FiledPlan plan = Plan();
        IReadOnlyList<PlannedCapture> flown = PlanFlown.Of(plan, null, Modelled);
        PlannedTrigger[] triggers = [.. plan.Sorties.SelectMany(sortie => sortie.Captures)];
        Assert.Equal(triggers.Length, flown.Count);
        for (int at = 0; at < triggers.Length; at++)
        {
            GeodeticPosition wanted = Planned.ToGeodetic(triggers[at].PositionLocalMetres);
            Vector3D got = Planned.ToLocal(Modelled.ToGeodetic(flown[at].PositionMetres));
            Assert.True((got - triggers[at].PositionLocalMetres).Length < 1e-6, $"{wanted}");
        }
    }

    /// <summary>A step of 10 m ahead of the nose is the same step on the earth in both frames.</summary>
    [Fact]
    public void Of_AnotherFrame_TurnsTheNoseWithItsNorth()
    {
        FiledPlan plan = Plan();
        PlannedTrigger trigger = plan.Sorties[0].Captures[1];
        PlannedCapture flown = PlanFlown.Of(plan, null, Modelled)[1];
        Vector3D ahead = Modelled.ToLocal(Planned.ToGeodetic(trigger.PositionLocalMetres + Step(trigger.YawDegrees)));
        Vector3D turned = ahead - flown.PositionMetres;
        double azimuth = Math.Atan2(turned.X, turned.Y) * 180 / Math.PI;
        Assert.Equal(0, Math.IEEERemainder(azimuth - flown.YawDegrees, 360), 4);
        Assert.True(Math.Abs(flown.YawDegrees - trigger.YawDegrees) > 1e-3, "the frames' norths differ");

        static Vector3D Step(double degrees) =>
            new(10 * Math.Sin(degrees * Math.PI / 180), 10 * Math.Cos(degrees * Math.PI / 180), 0);
    }

    [Fact]
    public void Of_AllSorties_RunOnInTimeAndLines()
    {
        IReadOnlyList<PlannedCapture> flown = PlanFlown.Of(Plan(), null, Modelled);
        Assert.Equal(0, flown[0].Seconds);
        for (int at = 1; at < flown.Count; at++)
        {
            Assert.True(flown[at].Seconds > flown[at - 1].Seconds);
        }

        // The second sortie lifts off only after the first has landed (100 s) and its battery is changed.
        Assert.True(flown[3].Seconds - flown[2].Seconds > 100 - 30);
        Assert.Equal([1, 1, 2, 3, 3], flown.Select(capture => capture.Line));
    }

    [Fact]
    public void Of_OneSortie_IsThatOneAlone()
    {
        IReadOnlyList<PlannedCapture> flown = PlanFlown.Of(Plan(), 2, Modelled);
        Assert.Equal(2, flown.Count);
        Assert.Equal(0, flown[0].Seconds);
    }

    [Theory]
    [InlineData(3)]
    [InlineData(0)]
    public void Of_NoSuchSortie_SaysWhichThereAre(int sortie)
    {
        InputProblemException problem = Assert.Throws<InputProblemException>(() =>
            PlanFlown.Of(Plan(), sortie, Modelled)
        );
        Assert.Contains("1, 2", problem.Message, StringComparison.Ordinal);
    }

    private static FiledPlan Plan() =>
        new(
            "first",
            new DateOnly(2026, 4, 12),
            "invented",
            "invented",
            Planned,
            new FiledWish(0.05, 0.8, 0.7, 15, 80),
            [
                new FiledSortie(1, 100, 10, [Trigger(1, 20, -10, 1), Trigger(2, 22, 0, 1), Trigger(3, 30, 10, 2)]),
                new FiledSortie(2, 80, 10, [Trigger(4, 15, 20, 1), Trigger(5, 17, 30, 1)]),
            ]
        );

    private static PlannedTrigger Trigger(int number, double seconds, double east, int line) =>
        new(number, seconds, new Vector3D(east, 2 * east, 80 + east), 37.5, line);
}
