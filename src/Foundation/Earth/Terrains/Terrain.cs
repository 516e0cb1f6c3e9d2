using System.Globalization;
using Hillrow.Numerics;

namespace Hillrow.Earth;

/// <summary>
/// The ground as known before flying: tiles laid side by side, the finest first where they overlap. Heights carry their
/// vertical reference and a stated error.
/// </summary>
public sealed class Terrain
{
    private readonly List<TerrainSheet> sheets = [];

    /// <exception cref="InputProblemException">No tile, or tiles with different vertical references.</exception>
    public Terrain(IReadOnlyList<TerrainTile> tiles)
    {
        ArgumentNullException.ThrowIfNull(tiles);
        if (tiles.Count == 0)
        {
            throw new InputProblemException(
                "terrain",
                "there is no terrain tile.",
                "Add height tiles that cover the estate."
            );
        }

        if (tiles.FirstOrDefault(tile => tile.VerticalReference != tiles[0].VerticalReference) is { } odd)
        {
            throw new InputProblemException(
                odd.Source,
                $"its heights are above {odd.VerticalReference}, those of {tiles[0].Source} above {tiles[0].VerticalReference}.",
                "Keep tiles of one vertical reference in the terrain folder."
            );
        }

        Tiles = tiles;
        VerticalReference = tiles[0].VerticalReference;
        SigmaMetres = tiles.Max(tile => tile.SigmaMetres);
        foreach (TerrainTile tile in tiles.OrderBy(tile => tile.PostDistanceMetres))
        {
            if (!sheets.Exists(sheet => sheet.TryAdd(tile)))
            {
                sheets.Add(new TerrainSheet(tile));
            }
        }
    }

    public IReadOnlyList<TerrainTile> Tiles { get; }

    public VerticalReference VerticalReference { get; }

    /// <summary>Standard error of a height, the worst over the tiles.</summary>
    public double SigmaMetres { get; }

    /// <summary>Distance between posts on the ground in the finest tiles, metres.</summary>
    public double PostDistanceMetres => sheets[0].PostDistanceMetres;

    /// <summary>Tells every tile with holes: how many, how large, where the largest lies.</summary>
    public IEnumerable<string> HolesTold =>
        Tiles
            .Where(tile => tile.Voids.Posts > 0)
            .Select(tile =>
            {
                double east = tile.FirstEast + (tile.Voids.LargestHoleColumn * tile.StepEast);
                double north = tile.FirstNorth - (tile.Voids.LargestHoleRow * tile.StepNorth);
                GeographicPoint place = tile.System.ToWgs84(east, north);
                return string.Create(
                    CultureInfo.InvariantCulture,
                    $"{tile.Source}: {tile.Voids.Posts:N0} of {tile.Heights.Length:N0} posts have no height, in {tile.Voids.Holes:N0} holes; the largest, {tile.Voids.LargestHolePosts:N0} posts, lies about {place}."
                );
            });

    /// <summary>Loads the .hgt tiles of a folder that overlap an area, each only as far as needed.</summary>
    /// <exception cref="InputProblemException">No tile overlaps the area, or one cannot be read.</exception>
    public static Terrain OpenHgtFolder(string folder, GeographicArea area)
    {
        List<TerrainTile> tiles = [.. HgtTilesIn(folder, area)];
        return tiles.Count > 0
            ? new(tiles)
            : throw new InputProblemException(
                folder,
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"no .hgt tile covers {area.SouthDegrees:0.###} … {area.NorthDegrees:0.###}° north, {area.WestDegrees:0.###} … {area.EastDegrees:0.###}° east."
                ),
                "Add the tiles named after the degree squares of the estate, for instance N05W076.hgt."
            );
    }

    /// <summary>The .hgt tiles of a folder that overlap an area, in the order of their names.</summary>
    /// <exception cref="InputProblemException">The folder or a tile cannot be read.</exception>
    public static IEnumerable<TerrainTile> HgtTilesIn(string folder, GeographicArea area)
    {
        string[] files;
        try
        {
            files = Directory.GetFiles(
                folder,
                "*.hgt",
                new EnumerationOptions { MatchCasing = MatchCasing.CaseInsensitive }
            );
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            throw new InputProblemException(
                folder,
                "the folder cannot be read.",
                "Check that it is there and readable.",
                fault
            );
        }

        foreach (string file in files.Order(StringComparer.Ordinal))
        {
            if (HgtFile.AreaOf(file).Overlaps(area))
            {
                yield return HgtFile.Read(file, area);
            }
        }
    }

    /// <summary>The height at a place; false where no tile covers it or its posts are void.</summary>
    public bool TryHeightAt(
        GeographicPoint wgs84Place,
        out Height height,
        TerrainInterpolation interpolation = TerrainInterpolation.Bilinear
    )
    {
        double metres = MetresAt(wgs84Place, interpolation);
        height = new(metres, VerticalReference);
        return !double.IsNaN(metres);
    }

    /// <summary>Heights on a metric grid, one per cell centre, in the wanted vertical reference.</summary>
    /// <param name="geometry">The grid; its system must be projected.</param>
    /// <param name="wanted">What the heights shall be measured from.</param>
    /// <param name="interpolation">Bicubic by default: bilinear facets show as steps in slope.</param>
    /// <param name="threads">Degree of parallelism; the result does not depend on it.</param>
    /// <exception cref="InvalidOperationException">A conversion from or to an unknown vertical reference.</exception>
    public TerrainGrid ToGrid(
        GridGeometry geometry,
        VerticalReference wanted,
        TerrainInterpolation interpolation = TerrainInterpolation.Bicubic,
        int threads = 1
    )
    {
        ArgumentNullException.ThrowIfNull(geometry);
        float[] heights = new float[checked((int)geometry.CellCount)];
        GeoidModel geoid = GeoidModel.Egm96;
        bool convert = Converts(wanted);
        Parallel.For(
            0,
            geometry.Rows,
            new ParallelOptions { MaxDegreeOfParallelism = Math.Max(1, threads) },
            row =>
            {
                for (int column = 0; column < geometry.Columns; column++)
                {
                    GridPoint point = geometry.CentreOf(row, column);
                    GeographicPoint place = geometry.ReferenceSystem.ToWgs84(point);
                    double metres = MetresAt(place, interpolation, geometry.ReferenceSystem, point);
                    if (convert && !double.IsNaN(metres))
                    {
                        metres = new Height(metres, VerticalReference).To(wanted, place, geoid).Metres;
                    }

                    heights[(row * geometry.Columns) + column] = (float)metres;
                }
            }
        );
        return new(geometry, heights, wanted, SigmaMetres);
    }

    /// <summary>
    /// Up coordinates of the terrain in a local frame, on posts at local eastings and northings: what ray casts need.
    /// </summary>
    /// <param name="frame">The survey's frame; its plane leaves the level surface by 8 cm at 1 km, 2 m at 5 km.</param>
    /// <param name="westMetres">Local easting of the first column of posts.</param>
    /// <param name="northMetres">Local northing of the first row of posts.</param>
    /// <param name="cellMetres">Distance between posts, above 0.</param>
    /// <param name="rows">Rows, the first in the north.</param>
    /// <param name="columns">Columns, the first in the west.</param>
    /// <param name="upMetres">Receives Rows × Columns local up coordinates; NaN where the terrain has no height.</param>
    /// <param name="interpolation">Between posts of the terrain.</param>
    /// <param name="threads">Degree of parallelism; the result does not depend on it.</param>
    /// <exception cref="InvalidOperationException">The terrain's vertical reference is unknown.</exception>
    public void ToLocalHeights(
        LocalFrame frame,
        double westMetres,
        double northMetres,
        double cellMetres,
        int rows,
        int columns,
        float[] upMetres,
        TerrainInterpolation interpolation = TerrainInterpolation.Bicubic,
        int threads = 1
    )
    {
        ArgumentNullException.ThrowIfNull(frame);
        ArgumentNullException.ThrowIfNull(upMetres);
        if (upMetres.Length != (long)rows * columns)
        {
            throw new ArgumentException(
                $"{upMetres.Length} heights do not fill {rows} × {columns} posts.",
                nameof(upMetres)
            );
        }

        GeoidModel geoid = GeoidModel.Egm96;
        _ = Converts(VerticalReference.Ellipsoid);
        Parallel.For(
            0,
            rows,
            new ParallelOptions { MaxDegreeOfParallelism = Math.Max(1, threads) },
            row =>
            {
                for (int column = 0; column < columns; column++)
                {
                    upMetres[(row * columns) + column] = (float)UpAt(
                        frame,
                        westMetres + (column * cellMetres),
                        northMetres - (row * cellMetres),
                        interpolation,
                        geoid
                    );
                }
            }
        );
    }

    private double UpAt(
        LocalFrame frame,
        double east,
        double north,
        TerrainInterpolation interpolation,
        GeoidModel geoid
    )
    {
        // The vertical leans by distance over earth radius, so a height moves the place: two passes reach a micrometre.
        double up = 0;
        for (int pass = 0; pass < 3; pass++)
        {
            GeodeticPosition place = frame.ToGeodetic(new Vector3D(east, north, up));
            GeographicPoint at = new(place.Latitude, place.Longitude);
            double metres = MetresAt(at, interpolation);
            if (double.IsNaN(metres))
            {
                return double.NaN;
            }

            double ellipsoidal = new Height(metres, VerticalReference).EllipsoidalMetres(at, geoid);
            up += ellipsoidal - place.HeightAboveEllipsoidMetres;
        }

        return up;
    }

    private bool Converts(VerticalReference wanted)
    {
        if (wanted == VerticalReference)
        {
            return false;
        }

        return wanted != VerticalReference.Unknown && VerticalReference != VerticalReference.Unknown
            ? true
            : throw new InvalidOperationException(
                $"Heights above {VerticalReference} cannot become heights above {wanted}: settle what they are measured from first."
            );
    }

    private double MetresAt(
        GeographicPoint place,
        TerrainInterpolation interpolation,
        ReferenceSystem? knownSystem = null,
        GridPoint known = default
    )
    {
        foreach (TerrainSheet sheet in sheets)
        {
            double metres;
            if (sheet.System.IsProjected)
            {
                GridPoint point =
                    knownSystem is not null && sheet.System == knownSystem ? known : sheet.System.ToGrid(place);
                metres = sheet.HeightAt(point.EastingMetres, point.NorthingMetres, interpolation);
            }
            else
            {
                GeographicPoint own = sheet.System.Datum.FromWgs84Place(place);
                double longitude = own.Longitude.Degrees;
                longitude += 360 * Math.Round((sheet.MiddleEast - longitude) / 360);
                metres = sheet.HeightAt(longitude, own.Latitude.Degrees, interpolation);
            }

            if (!double.IsNaN(metres))
            {
                return metres;
            }
        }

        return double.NaN;
    }
}
