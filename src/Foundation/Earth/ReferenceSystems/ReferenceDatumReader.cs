namespace Hillrow.Earth;

/// <summary>The datum of a geographic system given as well-known text.</summary>
internal static class ReferenceDatumReader
{
    /// <summary>Datums on a geocentric ellipsoid that we do not know by name agree with WGS 84 within this.</summary>
    private const double GeocentricMetres = 3;

    /// <summary>What we can say of a file's own shift.</summary>
    private const double OwnShiftMetres = 10;

    /// <summary>Plain beginnings of names; the longer, the earlier.</summary>
    private static readonly (string Begins, int Code)[] Names =
    [
        ("wgs84", 4326),
        ("wgs1984", 4326),
        ("worldgeodeticsystem1984", 4326),
        ("etrs", 4258),
        ("europeanterrestrialreferencesystem1989", 4258),
        ("sirgas2000", 4674),
        ("sistemadereferenciageocentricoparalasamericas2000", 4674),
        ("nad83", 4269),
        ("northamericandatum1983", 4269),
        ("northamerican1983", 4269),
        ("gda94", 4283),
        ("gda1994", 4283),
        ("geocentricdatumofaustralia1994", 4283),
        ("gda2020", 7844),
        ("geocentricdatumofaustralia2020", 7844),
        ("rgf93", 4171),
        ("rgf1993", 4171),
        ("reseaugeodesiquefrancais1993", 4171),
        ("magna", 4686),
        ("marcogeocentriconacional", 4686),
        ("costarica2005", 5365),
        ("cr05", 5365),
        ("vn2000", 4756),
        ("vietnam2000", 4756),
        ("osgb", 4277),
        ("ordnancesurveyofgreatbritain1936", 4277),
        ("southamericandatum1969", 4618),
        ("southamerican1969", 4618),
        ("sad69", 4618),
    ];

    public static ReferenceDatum Read(WellKnownTextNode geographic, string where)
    {
        if (ReferenceDatums.Find(geographic.EpsgCode()) is { } coded)
        {
            return coded;
        }

        string name = geographic.Name;
        WellKnownTextNode? datum = geographic.Child("DATUM", "ENSEMBLE", "GEODETICDATUM", "TRF");
        WellKnownTextNode? ellipsoid = datum?.Child("SPHEROID", "ELLIPSOID") ?? geographic.Child("ELLIPSOID");
        WellKnownTextNode? unit = geographic.Child("UNIT", "ANGLEUNIT");
        WellKnownTextNode? meridian = geographic.Child("PRIMEM", "PRIMEMERIDIAN");
        if (meridian is { Numbers.Count: > 0 } && meridian.Numbers[0] != 0)
        {
            throw ReferenceSystem.Unknown(
                $"\"{name}\"",
                $"its longitudes count from {meridian.Name}, not Greenwich.",
                where
            );
        }

        if (unit is { Numbers.Count: > 0 } && !WellKnownText.IsDegree(unit.Numbers[0]))
        {
            throw ReferenceSystem.Unknown($"\"{name}\"", $"its angles are in {unit.Name}, not degrees.", where);
        }

        if (datum is null || ellipsoid is null || ellipsoid.Numbers.Count < 2)
        {
            throw ReferenceSystem.Unknown($"\"{name}\"", "it does not say its datum and ellipsoid.", where);
        }

        foreach (string word in new[] { ProjectionWords.Plain(name), ProjectionWords.Plain(datum.Name) })
        {
            string bare = word.StartsWith("gcs", StringComparison.Ordinal) ? word[3..] : word;
            bare = bare.StartsWith('d') && datum.Name.StartsWith("D_", StringComparison.Ordinal) ? bare[1..] : bare;
            ReferenceDatum? namesake = ReferenceDatums.All.FirstOrDefault(one =>
                ProjectionWords.Plain(one.Name) == bare
                || (one.Name.EndsWith(" v1", StringComparison.Ordinal) && ProjectionWords.Plain(one.Name[..^3]) == bare)
            );
            if (namesake is not null)
            {
                return namesake;
            }

            foreach ((string begins, int code) in Names)
            {
                if (bare.StartsWith(begins, StringComparison.Ordinal))
                {
                    return ReferenceDatums.Find(code)!;
                }
            }
        }

        return Own(name, datum, ellipsoid, where);
    }

    private static ReferenceDatum Own(string name, WellKnownTextNode datum, WellKnownTextNode ellipsoid, string where)
    {
        double axis = ellipsoid.Numbers[0];
        double inverseFlattening = ellipsoid.Numbers[1];
        if (axis is < 6.3e6 or > 6.4e6 || inverseFlattening is < 250 or > 350)
        {
            throw ReferenceSystem.Unknown($"\"{name}\"", "its ellipsoid is not the earth's.", where);
        }

        Ellipsoid own = new(ellipsoid.Name, axis, inverseFlattening);
        List<double>? shift = datum.Child("TOWGS84")?.Numbers;
        if (shift is { Count: 3 or 7 } && shift.Exists(value => value != 0))
        {
            return new(
                0,
                name,
                own,
                shift.Count == 3
                    ? new HelmertShift(shift[0], shift[1], shift[2])
                    : new HelmertShift(shift[0], shift[1], shift[2], shift[3], shift[4], shift[5], shift[6]),
                OwnShiftMetres
            );
        }

        return Math.Abs(axis - 6378137) < 0.01 && Math.Abs(inverseFlattening - 298.2572) < 0.0001
            ? new(0, name, own, null, GeocentricMetres)
            : throw ReferenceSystem.Unknown(
                $"\"{name}\"",
                "we do not know how its datum lies to WGS 84 (that can be hundreds of metres).",
                where
            );
    }
}
