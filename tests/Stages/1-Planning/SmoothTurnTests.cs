using CsCheck;
using Xunit;

namespace Hillrow.Planning.Tests;

public sealed class SmoothTurnTests
{
    private static readonly Gen<Heading> Headings = Gen.Select(
        Gen.Double[-200, 200],
        Gen.Double[-200, 200],
        Gen.Double[-10, 10],
        (east, north, azimuth) => new Heading(new PlanPoint(east, north), azimuth)
    );

    [Fact]
    public void Between_AnyHeadings_EndsWhereAsked() =>
        Gen.Select(Headings, Headings, Gen.Double[0.5, 30])
            .Sample(
                (start, end, radius) =>
                {
                    SmoothTurn turn = SmoothTurn.Between(start, end, radius);
                    Heading reached = turn.At(turn.LengthMetres);
                    Assert.True(reached.Place.DistanceTo(end.Place) < 1e-6, $"{reached} {end}");
                    Assert.True(Math.Cos(reached.AzimuthRadians - end.AzimuthRadians) > 1 - 1e-9);
                    Assert.True(turn.LengthMetres >= start.Place.DistanceTo(end.Place) - 1e-6);
                },
                iter: 2000,
                seed: "0000000000001"
            );

    [Fact]
    public void Between_LinesSideBySide_IsHalfACircle()
    {
        SmoothTurn turn = SmoothTurn.Between(
            new Heading(new PlanPoint(0, 0), 0),
            new Heading(new PlanPoint(12, 0), Math.PI),
            6
        );
        Assert.Equal(6 * Math.PI, turn.LengthMetres, 6);
        Assert.Equal(6, turn.At(3 * Math.PI).Place.NorthMetres, 6);
    }

    [Fact]
    public void At_SmallSteps_NeverTurnsTighterThanTheRadius() =>
        Gen.Select(Headings, Headings, Gen.Double[2, 30])
            .Sample(
                (start, end, radius) =>
                {
                    SmoothTurn turn = SmoothTurn.Between(start, end, radius);
                    const double Step = 0.05;
                    for (double at = 0; at + Step < turn.LengthMetres; at += 7.3)
                    {
                        Heading here = turn.At(at);
                        Heading next = turn.At(at + Step);
                        double bend = Math.Abs(Math.IEEERemainder(next.AzimuthRadians - here.AzimuthRadians, Math.Tau));
                        Assert.True(bend <= (Step / radius) + 1e-9);
                        Assert.True(here.Place.DistanceTo(next.Place) <= Step + 1e-9);
                    }
                },
                iter: 300,
                seed: "0000000000002"
            );
}
