namespace Hillrow.Earth;

/// <summary>The names that files give projection methods and their parameters.</summary>
internal static class ProjectionWords
{
    /// <summary>Letters and digits only, small: "Latitude of 1st standard parallel" and "Standard_Parallel_1" alike.</summary>
    public static string Plain(string name) => string.Concat(name.Where(char.IsAsciiLetterOrDigit)).ToLowerInvariant();

    public static ProjectionParameters Parameters(
        string methodName,
        IReadOnlyDictionary<string, double> given,
        bool onSphere,
        string system,
        string where
    )
    {
        double? Any(params ReadOnlySpan<string> names)
        {
            foreach (string name in names)
            {
                if (given.TryGetValue(name, out double value))
                {
                    return value;
                }
            }

            return null;
        }

        double latitude =
            Any("latitudeoforigin", "latitudeofnaturalorigin", "latitudeoffalseorigin", "latitudeofcenter") ?? 0;
        double meridian =
            Any(
                "centralmeridian",
                "longitudeofnaturalorigin",
                "longitudeoffalseorigin",
                "longitudeofcenter",
                "longitudeoforigin"
            ) ?? 0;
        double scale = Any("scalefactor", "scalefactoratnaturalorigin") ?? 1;
        double east = Any("falseeasting", "eastingatfalseorigin") ?? 0;
        double north = Any("falsenorthing", "northingatfalseorigin") ?? 0;
        double? first = Any("standardparallel1", "latitudeof1ststandardparallel");
        double? second = Any("standardparallel2", "latitudeof2ndstandardparallel");
        return Plain(methodName) switch
        {
            _ when onSphere => new(ProjectionMethod.WebMercator, 0, meridian, 1, east, north),
            "transversemercator" or "gausskruger" => new(
                ProjectionMethod.TransverseMercator,
                latitude,
                meridian,
                scale,
                east,
                north
            ),
            "lambertconformalconic1sp" or "lambertconicconformal1sp" => new(
                ProjectionMethod.LambertConicalOneParallel,
                latitude,
                meridian,
                scale,
                east,
                north
            ),
            "lambertconformalconic2sp" or "lambertconicconformal2sp" => TwoParallels(
                ProjectionMethod.LambertConicalTwoParallels
            ),
            "lambertconformalconic" when second is not null && scale == 1 => TwoParallels(
                ProjectionMethod.LambertConicalTwoParallels
            ),
            "lambertconformalconic" when second is null && (first ?? latitude).Equals(latitude) => new(
                ProjectionMethod.LambertConicalOneParallel,
                latitude,
                meridian,
                scale,
                east,
                north
            ),
            "mercator1sp" or "mercatorvarianta" => new(
                ProjectionMethod.MercatorWithScale,
                latitude,
                meridian,
                scale,
                east,
                north
            ),
            "mercator2sp" or "mercatorvariantb" or "mercator" => new(
                ProjectionMethod.MercatorWithParallel,
                0,
                meridian,
                1,
                east,
                north,
                first ?? latitude
            ),
            "mercatorauxiliarysphere" or "popularvisualisationpseudomercator" => new(
                ProjectionMethod.WebMercator,
                0,
                meridian,
                1,
                east,
                north
            ),
            "albersconicequalarea" or "albersequalarea" or "albers" => TwoParallels(ProjectionMethod.AlbersEqualArea),
            _ => throw ReferenceSystem.Unknown(
                $"\"{system}\"",
                $"we do not compute its projection \"{methodName}\".",
                where
            ),
        };

        ProjectionParameters TwoParallels(ProjectionMethod method) =>
            new(method, latitude, meridian, 1, east, north, first ?? latitude, second ?? first ?? latitude);
    }

    /// <summary>Angles must be degrees, lengths metres.</summary>
    public static void CheckUnit(WellKnownTextNode parameter, WellKnownTextNode geographic, string system, string where)
    {
        string name = Plain(parameter.Name);
        bool angle =
            name.Contains("latitude", StringComparison.Ordinal)
            || name.Contains("longitude", StringComparison.Ordinal)
            || name.Contains("parallel", StringComparison.Ordinal)
            || name.Contains("meridian", StringComparison.Ordinal);
        WellKnownTextNode? unit = parameter.Child("ANGLEUNIT", "LENGTHUNIT", "UNIT");
        if (angle)
        {
            unit ??= geographic.Child("UNIT", "ANGLEUNIT");
            if (unit is { Numbers.Count: > 0 } && !WellKnownText.IsDegree(unit.Numbers[0]))
            {
                throw ReferenceSystem.Unknown($"\"{system}\"", $"its angles are in {unit.Name}, not degrees.", where);
            }
        }
        else if (unit is { Keyword: "LENGTHUNIT", Numbers.Count: > 0 } && Math.Abs(unit.Numbers[0] - 1) > 1e-9)
        {
            throw ReferenceSystem.Unknown($"\"{system}\"", $"its lengths are in {unit.Name}, not metres.", where);
        }
    }
}
