namespace Hillrow.Earth;

/// <summary>
/// Reference systems from the keys of a GeoTIFF (OGC 19-008r4): an EPSG code we know wins, otherwise the method and
/// parameters are read.
/// </summary>
public static class GeoTiffKeys
{
    private const int ModelType = 1024;
    private const int GeographicSystem = 2048;
    private const int AngularUnit = 2054;
    private const int ProjectedSystem = 3072;
    private const int CodedProjection = 3074;
    private const int Method = 3075;
    private const int LinearUnit = 3076;
    private const int UserDefined = 32767;

    /// <param name="numbers">Key number to value: short keys and doubles alike.</param>
    /// <param name="texts">Key number to text; citations may hold a well-known text.</param>
    /// <param name="where">The file, for messages.</param>
    /// <exception cref="Numerics.InputProblemException">No system, or one we cannot use.</exception>
    public static ReferenceSystem Read(
        IReadOnlyDictionary<int, double> numbers,
        IReadOnlyDictionary<int, string> texts,
        string where
    )
    {
        ArgumentNullException.ThrowIfNull(numbers);
        ArgumentNullException.ThrowIfNull(texts);
        int Code(int key) => numbers.TryGetValue(key, out double value) && value is >= 0 and < 1e6 ? (int)value : 0;
        string told = texts.GetValueOrDefault(1026) ?? texts.GetValueOrDefault(3073) ?? "given by parameters";
        int projected = Code(ProjectedSystem);
        if (projected is > 0 and not UserDefined)
        {
            return ReferenceSystem.Find(projected)
                ?? throw ReferenceSystem.Unknown($"EPSG:{projected}", "its parameters are not built in.", where);
        }

        int geographic = Code(GeographicSystem);
        if (Code(ModelType) == 2 || (Code(ModelType) == 0 && geographic > 0 && projected == 0))
        {
            return ReferenceSystem.Find(geographic) is { IsGeographic: true } found
                ? found
                : throw ReferenceSystem.Unknown($"EPSG:{geographic}", "we do not know its datum.", where);
        }

        if (texts.Values.FirstOrDefault(text => text.Contains("PROJCS[", StringComparison.Ordinal)) is { } citation)
        {
            return WellKnownText.Read(
                citation[citation.IndexOf("PROJCS[", StringComparison.Ordinal)..].TrimEnd('|', '\0'),
                where
            );
        }

        ReferenceDatum datum =
            ReferenceDatums.Find(geographic)
            ?? throw ReferenceSystem.Unknown($"\"{told}\"", "it stands on a datum we do not know.", where);
        if (Code(LinearUnit) is not (0 or 9001) || Code(AngularUnit) is not (0 or 9102))
        {
            throw ReferenceSystem.Unknown($"\"{told}\"", "its units are not metres and degrees.", where);
        }

        int coded = Code(CodedProjection);
        if (coded is (>= 16001 and <= 16060) or (>= 16101 and <= 16160))
        {
            return ReferenceSystem.From(told, datum, ProjectionParameters.Utm(coded % 100, north: coded < 16100));
        }

        double Any(params ReadOnlySpan<int> keys)
        {
            foreach (int key in keys)
            {
                if (numbers.TryGetValue(key, out double value))
                {
                    return value;
                }
            }

            return 0;
        }

        double latitude = Any(3081, 3085, 3089);
        double meridian = Any(3080, 3084, 3088);
        double east = Any(3082, 3086, 3090);
        double north = Any(3083, 3087, 3091);
        double scale = numbers.GetValueOrDefault(3092, 1);
        double first = numbers.GetValueOrDefault(3078, latitude);
        double second = numbers.GetValueOrDefault(3079, first);
        ProjectionParameters parameters = Code(Method) switch
        {
            1 => new(ProjectionMethod.TransverseMercator, latitude, meridian, scale, east, north),
            7 when numbers.ContainsKey(3078) => new(
                ProjectionMethod.MercatorWithParallel,
                0,
                meridian,
                1,
                east,
                north,
                first
            ),
            7 => new(ProjectionMethod.MercatorWithScale, latitude, meridian, scale, east, north),
            8 => new(ProjectionMethod.LambertConicalTwoParallels, latitude, meridian, 1, east, north, first, second),
            9 => new(ProjectionMethod.LambertConicalOneParallel, latitude, meridian, scale, east, north),
            11 => new(ProjectionMethod.AlbersEqualArea, latitude, meridian, 1, east, north, first, second),
            0 => throw ReferenceSystem.Unknown($"\"{told}\"", "the file does not say where it lies.", where),
            int other => throw ReferenceSystem.Unknown(
                $"\"{told}\"",
                $"we do not compute projection method {other}.",
                where
            ),
        };
        try
        {
            return ReferenceSystem.From(told, datum, parameters);
        }
        catch (ArgumentException fault)
        {
            throw ReferenceSystem.Unknown(
                $"\"{told}\"",
                "its projection parameters define no projection.",
                where,
                fault
            );
        }
    }
}
