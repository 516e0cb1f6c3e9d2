using CsCheck;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Earth.Tests;

public sealed class ProjectionTests
{
    private const double Millimetre = 0.001;

    // ANCHORS T3: proves the southern false northing.
    [Fact]
    public void Utm_FlindersPeak_IsThePrintedPoint()
    {
        Projection zone55 = Projection.Create(Ellipsoid.Grs1980, ProjectionParameters.Utm(55, north: false));
        GridPoint got = zone55.Forward(
            GeographicPoint.FromDegrees(-(37 + (57 / 60.0) + (3.72030 / 3600)), 144 + (25 / 60.0) + (29.52440 / 3600))
        );
        Assert.Equal(273741.297, got.EastingMetres, Millimetre);
        Assert.Equal(5796489.777, got.NorthingMetres, Millimetre);
    }

    [Fact]
    public void Utm_ForwardAndBack_AnyPlaceWithinNineDegrees_ReturnsToTheNanometre() =>
        Gen.Select(Gen.Int[1, 60], Gen.Bool, Gen.Double[-89.9, 89.9], Gen.Double[-9, 9])
            .Sample(
                (zone, north, latitude, offset) =>
                {
                    TransverseMercator projection = TransverseMercator.Utm(zone, north);
                    GeographicPoint place = GeographicPoint.FromDegrees(latitude, (6 * zone) - 183 + offset);
                    GeographicPoint back = projection.Inverse(projection.Forward(place));
                    Assert.Equal(place.Latitude.Radians, back.Latitude.Radians, 3e-15);
                    double east = (back.Longitude - place.Longitude).WrappedSigned().Radians * place.Latitude.Cosine;
                    Assert.Equal(0, east, 3e-15);
                },
                iter: 20000
            );

    [Fact]
    public void Utm_EastOfWest_AreMirrorImages() =>
        Gen.Select(Gen.Double[-85, 85], Gen.Double[0, 6])
            .Sample(
                (latitude, offset) =>
                {
                    TransverseMercator projection = TransverseMercator.Utm(31, north: true);
                    GridPoint east = projection.Forward(GeographicPoint.FromDegrees(latitude, 3 + offset));
                    GridPoint west = projection.Forward(GeographicPoint.FromDegrees(latitude, 3 - offset));
                    Assert.Equal(1_000_000, east.EastingMetres + west.EastingMetres, 1e-6);
                    Assert.Equal(east.NorthingMetres, west.NorthingMetres, 1e-6);
                },
                iter: 2000
            );

    [Fact]
    public void Utm_ConvergenceAndScale_AreThoseOfATinyStepNorth() =>
        Gen.Select(Gen.Double[-80, 80], Gen.Double[-4, 4])
            .Sample(
                (latitude, offset) =>
                {
                    TransverseMercator projection = TransverseMercator.Utm(37, north: true);
                    GeographicPoint place = GeographicPoint.FromDegrees(latitude, 39 + offset);
                    GeographicPoint further = Geodesic.Wgs84.Direct(place, Angle.Zero, 10).Place;
                    GeographicPoint nearer = Geodesic.Wgs84.Direct(place, Angle.Zero, -10).Place;
                    GridPoint to = projection.Forward(further);
                    GridPoint from = projection.Forward(nearer);
                    GridDistortion distortion = projection.DistortionAt(place);
                    double east = to.EastingMetres - from.EastingMetres;
                    double north = to.NorthingMetres - from.NorthingMetres;
                    Assert.Equal(distortion.Scale, double.Hypot(east, north) / 20, 1e-8);
                    // True north runs to the left of grid north by the convergence.
                    Assert.Equal(-distortion.Convergence.Radians, Math.Atan2(east, north), 1e-8);
                },
                iter: 2000
            );

    [Theory]
    [InlineData(5.0, -78.0, 18)]
    [InlineData(5.0, -78.0000001, 17)]
    [InlineData(-17.0, 180.0, 1)]
    [InlineData(-17.0, -180.0, 1)]
    [InlineData(-17.0, 179.9999, 60)]
    [InlineData(60.0, 3.0, 32)]
    [InlineData(60.0, 2.9999, 31)]
    [InlineData(55.9999, 3.0, 31)]
    [InlineData(72.0, 9.0, 33)]
    [InlineData(75.0, 33.0, 37)]
    [InlineData(71.9999, 33.0, 36)]
    public void UtmZone_Edges_FollowTheRule(double latitude, double longitude, int zone) =>
        Assert.Equal(zone, UtmZone.Of(GeographicPoint.FromDegrees(latitude, longitude)).Number);

    [Fact]
    public void Utm_NoSuchZone_Throws()
    {
        Assert.Throws<ArgumentOutOfRangeException>(() => ReferenceSystem.Utm(0, north: true));
        Assert.Throws<ArgumentOutOfRangeException>(() => ReferenceSystem.Utm(61, north: false));
    }

    [Fact]
    public void EverySystem_ForwardAndBack_ReturnsWithinAMicrometre()
    {
        foreach (int code in ReferenceSystem.KnownCodes)
        {
            ReferenceSystem system = new(code);
            if (system.Projection is not { } projection)
            {
                continue;
            }

            // Around the projection's own centre, whichever half of the earth that is.
            ProjectionParameters p = projection.Parameters;
            bool south = p.FalseNorthingMetres > 9e6 || p.OriginLatitudeDegrees < 0 || p.FirstParallelDegrees < 0;
            for (int k = -2; k <= 2; k++)
            {
                GeographicPoint place = GeographicPoint.FromDegrees(
                    (south ? -1 : 1) * (18 + (3.3 * k)),
                    p.CentralMeridianDegrees + (1.1 * k)
                );
                GeographicPoint back = system.ToWgs84(system.ToGrid(place));
                Assert.Equal(place.Latitude.Degrees, back.Latitude.Degrees, 1e-11);
                Assert.Equal(0, (back.Longitude - place.Longitude).WrappedSigned().Degrees, 1e-11);
            }
        }
    }

    [Fact]
    public void Unknown_Code_SaysHowToMendIt()
    {
        InputProblemException problem = Assert.Throws<InputProblemException>(() => new ReferenceSystem(99999));
        Assert.Contains("EPSG:99999", problem.Message, StringComparison.Ordinal);
        Assert.Contains("Reproject", problem.Message, StringComparison.Ordinal);
        Assert.Null(ReferenceSystem.Find(99999));
    }
}
