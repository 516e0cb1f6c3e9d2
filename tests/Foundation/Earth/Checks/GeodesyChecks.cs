using System.Text.Json;
using Hillrow.Earth;
using Hillrow.Numerics;
using Hillrow.TestSupport;

namespace Hillrow.Checks;

/// <summary>Every case of tests/Reference/geodesy against our ellipsoid, projection, geoid and geodesic code.</summary>
public static class GeodesyChecks
{
    private const double UtmMetres = 1e-4;
    private const double GeocentricMetres = 1e-5;

    public static CheckTally Utm()
    {
        CheckTally tally = new();
        foreach (CheckCase check in CheckBook.Open("geodesy", "utm.json").Cases)
        {
            GeographicPoint place = GeographicPoint.FromDegrees(Number(check.In, "lat"), Number(check.In, "lon"));
            UtmZone zone = UtmZone.Of(place);
            if (check.In.TryGetProperty("force_zone", out JsonElement forced))
            {
                zone = zone with { Number = forced.GetInt32() };
            }

            tally.Compare(check.Id, "zone", zone.Number, Number(check.Out, "zone"), 0);
            tally.IsTrue(
                check.Id,
                "hemisphere",
                zone.North == (check.Out.GetProperty("hemisphere").GetString() == "N")
            );
            ReferenceSystem system = zone.ToReferenceSystem();
            GridPoint got = system.ToGrid(place);
            tally.Compare(check.Id, "easting", got.EastingMetres, Number(check.Out, "easting_m"), UtmMetres);
            tally.Compare(check.Id, "northing", got.NorthingMetres, Number(check.Out, "northing_m"), UtmMetres);
            GridDistortion distortion = system.Projection!.DistortionAt(place);
            tally.Compare(
                check.Id,
                "convergence",
                distortion.Convergence.Degrees,
                Number(check.Out, "convergence_deg"),
                1e-7
            );
            tally.Compare(check.Id, "scale", distortion.Scale, Number(check.Out, "scale"), 1e-9);
            GeographicPoint back = system.ToWgs84(
                new GridPoint(Number(check.Out, "easting_m"), Number(check.Out, "northing_m"))
            );
            tally.Compare(check.Id, "latitude back", back.Latitude.Degrees, place.Latitude.Degrees, 1e-9);
            tally.Compare(
                check.Id,
                "longitude back",
                (back.Longitude - place.Longitude).WrappedSigned().Degrees * place.Latitude.Cosine,
                0,
                1e-9
            );
        }

        return tally;
    }

    /// <summary>Largest distance, over the cases, between our UTM point and the reference's; metres.</summary>
    public static double UtmMaxErrorMetres()
    {
        double worst = 0;
        foreach (CheckCase check in CheckBook.Open("geodesy", "utm.json").Cases)
        {
            UtmZone zone = new(
                check.Out.GetProperty("zone").GetInt32(),
                check.Out.GetProperty("hemisphere").GetString() == "N"
            );
            GeographicPoint place = GeographicPoint.FromDegrees(Number(check.In, "lat"), Number(check.In, "lon"));
            GridPoint got = zone.ToReferenceSystem().ToGrid(place);
            worst = Math.Max(
                worst,
                double.Hypot(
                    got.EastingMetres - Number(check.Out, "easting_m"),
                    got.NorthingMetres - Number(check.Out, "northing_m")
                )
            );
        }

        return worst;
    }

    public static CheckTally Ecef()
    {
        CheckTally tally = new();
        foreach (CheckCase check in CheckBook.Open("geodesy", "ecef.json").Cases)
        {
            GeodeticPosition place = Place(check.In, "lat", "lon", "h_m");
            GeocentricPosition got = GeocentricPosition.From(place, Ellipsoid.Wgs84);
            GeocentricPosition want = new(Number(check.Out, "x_m"), Number(check.Out, "y_m"), Number(check.Out, "z_m"));
            tally.Compare(check.Id, "x", got.XMetres, want.XMetres, GeocentricMetres);
            tally.Compare(check.Id, "y", got.YMetres, want.YMetres, GeocentricMetres);
            tally.Compare(check.Id, "z", got.ZMetres, want.ZMetres, GeocentricMetres);

            // The way back starts from our own unrounded point: the printed one is rounded to 1e-6 m, near the tolerance.
            GeodeticPosition back = got.ToGeodetic(Ellipsoid.Wgs84);
            tally.Compare(check.Id, "latitude", back.Latitude.Degrees, place.Latitude.Degrees, 1e-10);
            tally.Compare(
                check.Id,
                "longitude",
                (back.Longitude - place.Longitude).WrappedSigned().Degrees * place.Latitude.Cosine,
                0,
                1e-10
            );
            tally.Compare(
                check.Id,
                "height",
                back.HeightAboveEllipsoidMetres,
                place.HeightAboveEllipsoidMetres,
                GeocentricMetres
            );
        }

        return tally;
    }

    public static CheckTally Enu()
    {
        CheckTally tally = new();
        foreach (CheckCase check in CheckBook.Open("geodesy", "enu.json").Cases)
        {
            LocalFrame frame = new(Place(check.In, "origin_lat", "origin_lon", "origin_h_m"));
            GeodeticPosition place = Place(check.In, "lat", "lon", "h_m");
            Vector3D got = frame.ToLocal(place);
            tally.Compare(check.Id, "east", got.X, Number(check.Out, "east_m"), GeocentricMetres);
            tally.Compare(check.Id, "north", got.Y, Number(check.Out, "north_m"), GeocentricMetres);
            tally.Compare(check.Id, "up", got.Z, Number(check.Out, "up_m"), GeocentricMetres);
            GeodeticPosition back = frame.ToGeodetic(got);
            tally.Compare(check.Id, "latitude", back.Latitude.Degrees, place.Latitude.Degrees, 1e-10);
            tally.Compare(
                check.Id,
                "height",
                back.HeightAboveEllipsoidMetres,
                place.HeightAboveEllipsoidMetres,
                GeocentricMetres
            );
        }

        return tally;
    }

    public static CheckTally Egm96()
    {
        CheckTally tally = new();
        foreach (CheckCase check in CheckBook.Open("geodesy", "egm96_bilinear.json").Cases)
        {
            GeographicPoint place = GeographicPoint.FromDegrees(Number(check.In, "lat"), Number(check.In, "lon"));
            double want = Number(check.Out, "undulation_m");
            tally.Compare(check.Id, "bilinear", GeoidModel.Egm96.BilinearUndulationMetres(place), want, 0.002);
            // Bilinear reading of this grid is up to 1.15 m from the geoid (ANCHORS a8): the spline may differ by as much.
            tally.Compare(check.Id, "spline", GeoidModel.Egm96.UndulationMetres(place), want, 1.2);
        }

        foreach (CheckCase check in CheckBook.Open("geodesy", "egm96_nga.json").Cases)
        {
            GeographicPoint place = GeographicPoint.FromDegrees(Number(check.In, "lat"), Number(check.In, "lon"));
            tally.Compare(
                check.Id,
                "spline",
                GeoidModel.Egm96.UndulationMetres(place),
                Number(check.Out, "undulation_m"),
                0.001
            );
            tally.Compare(
                check.Id,
                "bilinear",
                GeoidModel.Egm96.BilinearUndulationMetres(place),
                Number(check.Out, "bilinear_15min_m"),
                0.002
            );
        }

        return tally;
    }

    public static CheckTally GeodesicInverse()
    {
        CheckTally tally = new();
        foreach (CheckCase check in CheckBook.Open("geodesy", "geodesic_inverse.json").Cases)
        {
            GeographicPoint from = GeographicPoint.FromDegrees(Number(check.In, "lat1"), Number(check.In, "lon1"));
            GeographicPoint to = GeographicPoint.FromDegrees(Number(check.In, "lat2"), Number(check.In, "lon2"));
            double metres = Number(check.Out, "s12_m");
            Angle start = Angle.FromDegrees(Number(check.Out, "azi1_deg"));
            GeodesicSpan got = Geodesic.Wgs84.Inverse(from, to);
            tally.Compare(check.Id, "distance", got.DistanceMetres, metres, 1e-4);
            if (metres is >= 1 and <= 19_900_000)
            {
                double near = metres > 100 ? 1e-7 : 1e-7 * 100 / metres;
                double end = Number(check.Out, "azi2_deg");
                tally.Compare(check.Id, "start azimuth", (got.StartAzimuth - start).WrappedSigned().Degrees, 0, near);
                tally.Compare(
                    check.Id,
                    "end azimuth",
                    (got.EndAzimuth - Angle.FromDegrees(end)).WrappedSigned().Degrees,
                    0,
                    near
                );
            }

            // The file serves the direct problem too: from the first place, azimuth and distance to the second.
            GeodesicEnd reached = Geodesic.Wgs84.Direct(from, start, metres);
            tally.Compare(check.Id, "latitude reached", reached.Place.Latitude.Degrees, to.Latitude.Degrees, 1e-9);
            tally.Compare(
                check.Id,
                "longitude reached",
                (reached.Place.Longitude - to.Longitude).WrappedSigned().Degrees * to.Latitude.Cosine,
                0,
                1e-9
            );
        }

        return tally;
    }

    public static CheckTally PolygonArea()
    {
        CheckTally tally = new();
        foreach (CheckCase check in CheckBook.Open("geodesy", "geodesic_polygon_area.json").Cases)
        {
            GeodesicPolygon got = Geodesic.Wgs84.Polygon([
                .. check
                    .In.GetProperty("lat_lon")
                    .EnumerateArray()
                    .Select(pair => GeographicPoint.FromDegrees(pair[0].GetDouble(), pair[1].GetDouble())),
            ]);
            // The file prints areas to 0.1 m²: half a unit of that comes on top of its 0.01 m².
            tally.Compare(check.Id, "area", got.AreaSquareMetres, Number(check.Out, "area_m2"), 0.01 + 0.05, 1e-7);
            tally.Compare(check.Id, "perimeter", got.PerimeterMetres, Number(check.Out, "perimeter_m"), 1e-4);
        }

        return tally;
    }

    /// <summary>Worked examples of IOGP 373-7-2; unknown methods in the file count as failures.</summary>
    public static CheckTally GuidanceNote()
    {
        CheckTally tally = new();
        foreach (CheckCase check in CheckBook.Open("geodesy", "epsg_gn7_2.json").Cases)
        {
            string method = check.In.GetProperty("method").GetString()!;
            if (method.Contains("9837", StringComparison.Ordinal))
            {
                Topocentric(tally, check);
            }
            else if (method.Contains("9602", StringComparison.Ordinal))
            {
                Geocentric(tally, check);
            }
            else if (check.In.TryGetProperty("tx_m", out _))
            {
                Helmert(tally, check, method);
            }
            else
            {
                Projected(tally, check, method);
            }
        }

        return tally;
    }

    private static void Projected(CheckTally tally, CheckCase check, string method)
    {
        ProjectionMethod? known = Enum.GetValues<ProjectionMethod>()
            .Where(one => method.Contains(((int)one).ToString(), StringComparison.Ordinal))
            .Select(one => (ProjectionMethod?)one)
            .FirstOrDefault();
        tally.IsTrue(check.Id, $"method {method} is known", known is not null);
        if (known is null)
        {
            return;
        }

        double Or(string name, double otherwise) =>
            check.In.TryGetProperty(name, out JsonElement found) ? found.GetDouble() : otherwise;
        Ellipsoid ellipsoid = EllipsoidOf(check);
        Projection projection = Projection.Create(
            ellipsoid,
            new(
                known.Value,
                Or("lat0", Or("latf", 0)),
                Or("lon0", Or("lonf", 0)),
                Or("k0", 1),
                Or("fe", 0),
                Or("fn", 0),
                Or("lat1", Or("sp1", 0)),
                Or("lat2", Or("sp2", 0))
            )
        );
        GeographicPoint place = GeographicPoint.FromDegrees(Number(check.In, "lat"), Number(check.In, "lon"));
        GridPoint got = projection.Forward(place);
        double printed = check.Id == "tm-osgb" ? 0.011 : 0.006;
        tally.Compare(check.Id, "easting", got.EastingMetres, Number(check.Out, "easting_m"), printed);
        tally.Compare(check.Id, "northing", got.NorthingMetres, Number(check.Out, "northing_m"), printed);
        JsonElement proj = check.Whole.GetProperty("proj");
        tally.Compare(check.Id, "easting by PROJ", got.EastingMetres, proj[0].GetDouble(), 0.001);
        tally.Compare(check.Id, "northing by PROJ", got.NorthingMetres, proj[1].GetDouble(), 0.001);
        GeographicPoint back = projection.Inverse(got);
        tally.Compare(check.Id, "latitude back", back.Latitude.Degrees, place.Latitude.Degrees, 1e-10);
        tally.Compare(check.Id, "longitude back", back.Longitude.Degrees, place.Longitude.Degrees, 1e-10);
    }

    private static void Topocentric(CheckTally tally, CheckCase check)
    {
        LocalFrame frame = new(Place(check.In, "origin_lat", "origin_lon", "origin_h_m"), EllipsoidOf(check));
        Vector3D got = frame.ToLocal(Place(check.In, "lat", "lon", "h_m"));
        tally.Compare(check.Id, "east", got.X, Number(check.Out, "east_m"), 0.001);
        tally.Compare(check.Id, "north", got.Y, Number(check.Out, "north_m"), 0.001);
        tally.Compare(check.Id, "up", got.Z, Number(check.Out, "up_m"), 0.001);
    }

    private static void Geocentric(CheckTally tally, CheckCase check)
    {
        GeocentricPosition got = GeocentricPosition.From(Place(check.In, "lat", "lon", "h_m"), EllipsoidOf(check));
        tally.Compare(check.Id, "x", got.XMetres, Number(check.Out, "x_m"), 0.001);
        tally.Compare(check.Id, "y", got.YMetres, Number(check.Out, "y_m"), 0.001);
        tally.Compare(check.Id, "z", got.ZMetres, Number(check.Out, "z_m"), 0.001);
    }

    private static void Helmert(CheckTally tally, CheckCase check, string method)
    {
        // A coordinate-frame rotation is a position-vector rotation of the other sign.
        double sign = method.Contains("1032", StringComparison.Ordinal) ? -1 : 1;
        double Or0(string name) => check.In.TryGetProperty(name, out JsonElement found) ? found.GetDouble() : 0;
        HelmertShift shift = new(
            Number(check.In, "tx_m"),
            Number(check.In, "ty_m"),
            Number(check.In, "tz_m"),
            sign * Or0("rx_as"),
            sign * Or0("ry_as"),
            sign * Or0("rz_as"),
            Or0("ds_ppm")
        );
        GeocentricPosition given = new(Number(check.In, "x_m"), Number(check.In, "y_m"), Number(check.In, "z_m"));
        GeocentricPosition got = shift.Apply(given);
        tally.Compare(check.Id, "x", got.XMetres, Number(check.Out, "x_m"), 0.006);
        tally.Compare(check.Id, "y", got.YMetres, Number(check.Out, "y_m"), 0.006);
        tally.Compare(check.Id, "z", got.ZMetres, Number(check.Out, "z_m"), 0.006);
        GeocentricPosition back = shift.Undo(got);
        tally.Compare(check.Id, "x back", back.XMetres, given.XMetres, 1e-8);
        tally.Compare(check.Id, "z back", back.ZMetres, given.ZMetres, 1e-8);
    }

    private static Ellipsoid EllipsoidOf(CheckCase check)
    {
        if (check.In.TryGetProperty("a", out JsonElement axis))
        {
            return new("given", axis.GetDouble(), 298.257223563);
        }

        JsonElement given = check.In.GetProperty("ellipsoid");
        return given.ValueKind == JsonValueKind.String
            ? Ellipsoid.Wgs84
            : new("given", given.GetProperty("a").GetDouble(), given.GetProperty("rf").GetDouble());
    }

    private static GeodeticPosition Place(JsonElement given, string latitude, string longitude, string height) =>
        GeodeticPosition.FromDegrees(Number(given, latitude), Number(given, longitude), Number(given, height));

    private static double Number(JsonElement given, string name) => given.GetProperty(name).GetDouble();
}
