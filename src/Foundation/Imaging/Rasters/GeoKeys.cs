using Hillrow.Earth;

namespace Hillrow.Imaging;

/// <summary>What a GeoTIFF says about its reference system, as written, for the room Earth to interpret.</summary>
/// <param name="Numbers">Keys with a number: 1024 model type, 1025 raster type, 2048 geographic, 3072 projected, 4096 vertical …</param>
/// <param name="Doubles">Keys with real values.</param>
/// <param name="Texts">Keys with a text.</param>
/// <remarks>Source: OGC GeoTIFF 1.1 (OGC 19-008r4, 2019).</remarks>
public sealed record GeoKeys(
    IReadOnlyDictionary<int, int> Numbers,
    IReadOnlyDictionary<int, double[]> Doubles,
    IReadOnlyDictionary<int, string> Texts
)
{
    public const int ModelType = 1024;
    public const int RasterType = 1025;
    public const int GeographicSystem = 2048;
    public const int ProjectedSystem = 3072;
    public const int ProjectedUnit = 3076;
    public const int VerticalSystem = 4096;
    public const int VerticalUnit = 4099;
    public const int Metre = 9001;

    /// <summary>EPSG code of heights above the EGM96 geoid.</summary>
    public const int Egm96Heights = 5773;

    /// <summary>EPSG code that GeoTIFF 1.0 gave to heights above the WGS 84 ellipsoid.</summary>
    public const int Wgs84EllipsoidHeights = 5030;

    private const int UserDefined = 32767;

    public static GeoKeys None { get; } =
        new(new Dictionary<int, int>(), new Dictionary<int, double[]>(), new Dictionary<int, string>());

    /// <summary>EPSG code of the projected system, or of the geographic one; null when neither is named by a code.</summary>
    public int? EpsgCode =>
        Numbers.TryGetValue(ModelType, out int model) && model == 2
            ? Code(GeographicSystem)
            : Code(ProjectedSystem) ?? (Numbers.ContainsKey(ProjectedSystem) ? null : Code(GeographicSystem));

    /// <summary>True when coordinates are degrees of latitude and longitude.</summary>
    public bool IsGeographic => Numbers.TryGetValue(ModelType, out int model) && model == 2;

    /// <summary>True when the raster's coordinates belong to cell centres (RasterPixelIsPoint), not to outer corners.</summary>
    public bool IsPoint => Numbers.TryGetValue(RasterType, out int type) && type == 2;

    /// <summary>What heights are measured from, as far as the keys tell; null when they say nothing of heights.</summary>
    public VerticalReference? Heights =>
        Numbers.TryGetValue(VerticalSystem, out int code)
            ? code switch
            {
                Egm96Heights => VerticalReference.Egm96Geoid,
                Wgs84EllipsoidHeights => VerticalReference.Ellipsoid,
                _ => VerticalReference.Unknown,
            }
            : null;

    /// <summary>The key directory (tag 34735) of a projected metric grid with square, area-like cells.</summary>
    public static ushort[] DirectoryOf(ReferenceSystem system, VerticalReference? heights)
    {
        List<(int Key, int Value)> keys =
        [
            (ModelType, 1),
            (RasterType, 1),
            (ProjectedSystem, system.EpsgCode),
            (ProjectedUnit, Metre),
        ];
        if (heights is VerticalReference.Egm96Geoid or VerticalReference.Ellipsoid)
        {
            keys.Add((VerticalSystem, heights == VerticalReference.Ellipsoid ? Wgs84EllipsoidHeights : Egm96Heights));
            keys.Add((VerticalUnit, Metre));
        }

        // Version 1, revision 1.1 where a vertical system by EPSG code needs it; 1.0 else, for old readers.
        List<ushort> words = [1, 1, (ushort)(keys.Count > 4 ? 1 : 0), (ushort)keys.Count];
        foreach ((int key, int value) in keys)
        {
            words.AddRange([(ushort)key, 0, 1, checked((ushort)value)]);
        }

        return [.. words];
    }

    /// <summary>Reads the keys of a directory; none when it has no key tag.</summary>
    /// <exception cref="Hillrow.Numerics.InputProblemException">The key tag contradicts itself.</exception>
    internal static GeoKeys Read(TiffDirectory directory)
    {
        const int words = 4;
        long[] table = directory.Integers(TiffTags.GeoKeyDirectory);
        if (table.Length < words)
        {
            return None;
        }

        double[] reals = directory.Doubles(TiffTags.GeoDoubleParameters);
        string texts = directory.Text(TiffTags.GeoTextParameters) ?? "";
        Dictionary<int, int> numbers = [];
        Dictionary<int, double[]> doubles = [];
        Dictionary<int, string> strings = [];
        for (int at = words; at + words <= table.Length && at / words <= table[3]; at += words)
        {
            int key = (int)table[at];
            long place = table[at + 1];
            long count = table[at + 2];
            long value = table[at + 3];
            if (place == 0)
            {
                numbers[key] = (int)Math.Clamp(value, 0, ushort.MaxValue);
            }
            else if (place == TiffTags.GeoDoubleParameters && Fits(value, count, reals.Length))
            {
                doubles[key] = reals.AsSpan((int)value, (int)count).ToArray();
            }
            else if (place == TiffTags.GeoTextParameters && Fits(value, count, texts.Length))
            {
                strings[key] = texts.Substring((int)value, (int)count).TrimEnd('|');
            }
            else
            {
                throw directory.File.Damaged($"its reference system key {key} points to where nothing is.");
            }
        }

        return new GeoKeys(numbers, doubles, strings);

        static bool Fits(long start, long count, int length) => start >= 0 && count >= 0 && start + count <= length;
    }

    private int? Code(int key) =>
        Numbers.TryGetValue(key, out int code) && code is > 0 and not UserDefined ? code : null;
}
