using CsCheck;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Earth.Tests;

public sealed class GeodesicTests
{
    private static readonly Gen<GeographicPoint> Places = Gen.Select(Gen.Double[-90, 90], Gen.Double[-180, 180])
        .Select(pair => GeographicPoint.FromDegrees(pair.Item1, pair.Item2));

    // ANCHORS T3, from the GDA Technical Manual: GRS 1980.
    [Fact]
    public void Inverse_FlindersPeakToBuninyong_IsThePrintedLine()
    {
        GeographicPoint flinders = GeographicPoint.FromDegrees(Dms(-37, 57, 3.72030), Dms(144, 25, 29.52440));
        GeographicPoint buninyong = GeographicPoint.FromDegrees(Dms(-37, 39, 10.15610), Dms(143, 55, 35.38390));
        GeodesicSpan span = new Geodesic(Ellipsoid.Grs1980).Inverse(flinders, buninyong);
        Assert.Equal(54972.271, span.DistanceMetres, 3);
        Assert.Equal(Dms(306, 52, 5.37), span.StartAzimuth.WrappedPositive().Degrees, 5);
        Assert.Equal(Dms(127, 10, 25.07), (span.EndAzimuth + Angle.FromDegrees(180)).WrappedPositive().Degrees, 5);
    }

    [Fact]
    public void Inverse_EquatorToPole_IsTheQuarterMeridian() =>
        Assert.Equal(
            10001965.7293,
            Geodesic
                .Wgs84.Inverse(GeographicPoint.FromDegrees(0, 12), GeographicPoint.FromDegrees(90, 50))
                .DistanceMetres,
            4
        );

    // Planimeter -p 10 of GeographicLib 2.1.2: the check book prints these areas to 0.1 m² only.
    [Fact]
    public void Polygon_SmallFields_AgreeWithGeographicLibToTenThousandths()
    {
        Hillrow.TestSupport.CheckBook book = Hillrow.TestSupport.CheckBook.Open(
            "geodesy",
            "geodesic_polygon_area.json"
        );
        Dictionary<string, double> fine = new() { ["area10"] = 21278.61703, ["area11"] = 1579.68195 };
        foreach ((string id, double want) in fine)
        {
            GeographicPoint[] corners =
            [
                .. book
                    .Cases.Single(one => one.Id == id)
                    .In.GetProperty("lat_lon")
                    .EnumerateArray()
                    .Select(pair => GeographicPoint.FromDegrees(pair[0].GetDouble(), pair[1].GetDouble())),
            ];
            Assert.Equal(want, Geodesic.Wgs84.Polygon(corners).AreaSquareMetres, 1e-4);
        }
    }

    [Fact]
    public void Polygon_AroundThePole_IsRefused() =>
        Assert.Throws<ArgumentException>(() =>
            Geodesic.Wgs84.Polygon([
                GeographicPoint.FromDegrees(80, 0),
                GeographicPoint.FromDegrees(80, 120),
                GeographicPoint.FromDegrees(80, -120),
            ])
        );

    [Fact]
    public void InverseThenDirect_AnyTwoPlaces_ArrivesThere() =>
        Gen.Select(Places, Places)
            .Sample(
                pair =>
                {
                    GeodesicSpan span = Geodesic.Wgs84.Inverse(pair.Item1, pair.Item2);
                    GeodesicEnd end = Geodesic.Wgs84.Direct(pair.Item1, span.StartAzimuth, span.DistanceMetres);
                    Assert.True(Apart(end.Place, pair.Item2) < 1e-6, $"{pair}: {end}");
                    Assert.InRange(span.DistanceMetres, 0, 20003931.4587);
                },
                iter: 20000
            );

    [Fact]
    public void Inverse_NearAntipodes_ArrivesThereByTheShorterWay() =>
        Gen.Select(Gen.Double[-80, 80], Gen.Double[-0.6, 0.6], Gen.Double[179, 180])
            .Sample(
                (latitude, offset, longitude) =>
                {
                    GeographicPoint from = GeographicPoint.FromDegrees(latitude, 0);
                    GeographicPoint to = GeographicPoint.FromDegrees(-latitude + offset, longitude);
                    GeodesicSpan span = Geodesic.Wgs84.Inverse(from, to);
                    GeodesicEnd end = Geodesic.Wgs84.Direct(from, span.StartAzimuth, span.DistanceMetres);
                    Assert.True(Apart(end.Place, to) < 1e-5, $"{from} {to}: {end}");
                    Assert.InRange(span.DistanceMetres, 19.8e6, 20003931.4587);
                },
                iter: 20000
            );

    [Fact]
    public void Inverse_TheOtherWayRound_IsTheSameLine() =>
        Gen.Select(Places, Places)
            .Sample(
                pair =>
                {
                    double there = Geodesic.Wgs84.Inverse(pair.Item1, pair.Item2).DistanceMetres;
                    double back = Geodesic.Wgs84.Inverse(pair.Item2, pair.Item1).DistanceMetres;
                    Assert.Equal(there, back, 1e-7);
                },
                iter: 5000
            );

    private static double Apart(GeographicPoint one, GeographicPoint other) =>
        (
            GeocentricPosition.From(one.AtHeightAboveEllipsoid(0), Ellipsoid.Wgs84).ToVector()
            - GeocentricPosition.From(other.AtHeightAboveEllipsoid(0), Ellipsoid.Wgs84).ToVector()
        ).Length;

    private static double Dms(int degrees, int minutes, double seconds) =>
        degrees + (Math.Sign(degrees) * ((minutes / 60.0) + (seconds / 3600)));
}
