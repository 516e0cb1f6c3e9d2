using System.Buffers.Binary;
using System.Globalization;
using System.Text.RegularExpressions;
using Hillrow.Numerics;

namespace Hillrow.Earth;

/// <summary>
/// Radar-mission height tiles (.hgt): one degree square, big-endian 16-bit metres above the EGM96 geoid, rows from the
/// north, −32768 where void; the south-west corner post is in the name, N05W076.hgt.
/// </summary>
/// <remarks>Source: USGS/NASA SRTM documentation (topography quick start, from memory); sizes 1,201² (3″) and 3,601² (1″).</remarks>
public static partial class HgtFile
{
    private const short Void = -32768;
    private const double LowestMetres = -1000;
    private const double HighestMetres = 9000;

    private const string Remedy =
        "Fetch the tile again: a 3-arc-second tile has 2,884,802 bytes, a 1-arc-second tile 25,934,402.";

    /// <summary>Whether the name is that of a tile, N05W076.hgt or with words between, N05W076.SRTMGL1.hgt.</summary>
    public static bool IsTileName(string path) => NamePattern().IsMatch(Path.GetFileName(path));

    /// <summary>The degree square a tile's name tells.</summary>
    /// <exception cref="InputProblemException">The name does not tell one.</exception>
    public static GeographicArea AreaOf(string path)
    {
        Match match = NamePattern().Match(Path.GetFileName(path));
        int south = match.Success ? int.Parse(match.Groups[2].ValueSpan, CultureInfo.InvariantCulture) : 0;
        int west = match.Success ? int.Parse(match.Groups[4].ValueSpan, CultureInfo.InvariantCulture) : 0;
        south = match.Groups[1].Value is "S" or "s" ? -south : south;
        west = match.Groups[3].Value is "W" or "w" ? -west : west;
        return match.Success && south is >= -90 and < 90 && west is >= -180 and < 180
            ? new(south, west, south + 1, west + 1)
            : throw new InputProblemException(
                path,
                "the name does not say which degree square the tile covers.",
                "Name it after its south-west corner, for instance N05W076.hgt."
            );
    }

    /// <summary>Reads a tile, or the part of it that an area needs (with three posts around for interpolation).</summary>
    /// <param name="path">A file named after its south-west corner.</param>
    /// <param name="area">Only this area is loaded; null loads all (52 MB for a 1″ tile).</param>
    /// <param name="sigmaMetres">Stated standard error of a height.</param>
    /// <exception cref="InputProblemException">Not a tile: wrong name, size or content; or unreadable.</exception>
    public static TerrainTile Read(
        string path,
        GeographicArea? area = null,
        double sigmaMetres = TerrainTile.DefaultSigmaMetres
    )
    {
        GeographicArea square = AreaOf(path);
        try
        {
            using FileStream stream = File.OpenRead(path);
            return Read(stream, path, square, area, sigmaMetres);
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            throw new InputProblemException(
                path,
                "the file cannot be read.",
                "Check that it is there and readable.",
                fault
            );
        }
    }

    private static TerrainTile Read(
        FileStream stream,
        string path,
        GeographicArea square,
        GeographicArea? area,
        double sigmaMetres
    )
    {
        int side = stream.Length switch
        {
            2L * 1201 * 1201 => 1201,
            2L * 3601 * 3601 => 3601,
            0 => throw new InputProblemException(path, "the file is empty.", Remedy),
            _ => throw new InputProblemException(
                path,
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"the file has {stream.Length:N0} bytes, which is no tile: it is cut short or of another kind."
                ),
                Remedy
            ),
        };
        double step = 1.0 / (side - 1);
        GeographicArea wanted = area ?? square;
        int firstColumn = Within((int)Math.Floor((wanted.WestDegrees - square.WestDegrees) / step) - 2, side);
        int lastColumn = Within((int)Math.Ceiling((wanted.EastDegrees - square.WestDegrees) / step) + 2, side);
        int firstRow = Within((int)Math.Floor((square.NorthDegrees - wanted.NorthDegrees) / step) - 2, side);
        int lastRow = Within((int)Math.Ceiling((square.NorthDegrees - wanted.SouthDegrees) / step) + 2, side);
        int columns = lastColumn - firstColumn + 1;
        int rows = lastRow - firstRow + 1;
        float[] heights = new float[rows * columns];
        byte[] line = new byte[2 * columns];
        int impossible = 0;
        for (int row = 0; row < rows; row++)
        {
            stream.Position = 2L * (((long)(firstRow + row) * side) + firstColumn);
            stream.ReadExactly(line);
            for (int column = 0; column < columns; column++)
            {
                short height = BinaryPrimitives.ReadInt16BigEndian(line.AsSpan(2 * column));
                bool possible = height is >= (short)LowestMetres and <= (short)HighestMetres;
                impossible += possible || height == Void ? 0 : 1;
                heights[(row * columns) + column] = possible ? height : float.NaN;
            }
        }

        // A few wild posts occur in early releases and become voids; many mean that these bytes are not heights.
        return impossible <= heights.Length / 100
            ? new(
                path,
                ReferenceSystem.Wgs84Geographic,
                square.WestDegrees + (firstColumn * step),
                square.NorthDegrees - (firstRow * step),
                step,
                step,
                rows,
                columns,
                heights,
                VerticalReference.Egm96Geoid,
                sigmaMetres
            )
            : throw new InputProblemException(
                path,
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"{impossible:N0} of {heights.Length:N0} heights lie outside {LowestMetres:0} … {HighestMetres:0} m: the bytes are not big-endian heights."
                ),
                Remedy
            );
    }

    private static int Within(int post, int side) => Math.Clamp(post, 0, side - 1);

    [GeneratedRegex(
        @"^([NS])(\d{2})([EW])(\d{3})(?:\.\w+)*\.hgt$",
        RegexOptions.IgnoreCase | RegexOptions.CultureInvariant,
        1000
    )]
    private static partial Regex NamePattern();
}
