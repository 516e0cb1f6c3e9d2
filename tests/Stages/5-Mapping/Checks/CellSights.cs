using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Mapping.Checks;

/// <summary>
/// What a capture's own pixels say of map cells: each cell is cut into 8 × 8 points, each point projected through the
/// band's own lens, and the pixel that holds it counts, without interpolation (docs/decisions/0032). Shares no code with
/// Mapping's kernels. Safe from many threads.
/// </summary>
public sealed class CellSights
{
    private const int PointsASide = 8;

    /// <summary>A sight is hidden where the surface stands higher over it than this.</summary>
    private const double HiddenBeyondMetres = 0.3;

    private readonly GridGeometry map;
    private readonly Raster<float> surface;
    private readonly GridToLocal toLocal;
    private readonly HeightField field;

    /// <param name="geometry">Of the survey, whose frame sights are led in.</param>
    /// <param name="map">The map's cells.</param>
    /// <param name="surface">Heights above the ellipsoid, the map's reference system.</param>
    public CellSights(SurveyGeometry geometry, GridGeometry map, Raster<float> surface)
    {
        (this.map, this.surface) = (map, surface);
        double nominal = Nominal(surface);
        toLocal = new GridToLocal(map, geometry.Frame, nominal);
        Vector3D[] corners =
        [
            toLocal.ToLocal(0, 0, nominal),
            toLocal.ToLocal(0, map.Columns, nominal),
            toLocal.ToLocal(map.Rows, 0, nominal),
            toLocal.ToLocal(map.Rows, map.Columns, nominal),
        ];
        double cell = surface.Grid.CellSizeMetres;
        double west = corners.Min(at => at.X);
        double north = corners.Max(at => at.Y);
        field = LocalHeights.Of(
            surface.Grid,
            surface.BandMemory(0),
            geometry.Frame,
            new LocalGrid(
                west,
                north,
                cell,
                Math.Max(2, (int)((north - corners.Min(at => at.Y)) / cell)),
                Math.Max(2, (int)((corners.Max(at => at.X) - west) / cell))
            ),
            2
        );
    }

    /// <summary>Mean of a frame's pixels over one cell; NaN where the surface is void, a point falls outside, or a pixel is saturated.</summary>
    /// <param name="seen">Pose and lens of the band.</param>
    /// <param name="frame">Rows × Columns of that lens.</param>
    /// <param name="row">Of the cell.</param>
    /// <param name="column">Of the cell.</param>
    public double MeanOf(SightedFrame seen, ReadOnlySpan<float> frame, int row, int column)
    {
        double sum = 0;
        for (int point = 0; point < PointsASide * PointsASide; point++)
        {
            double atRow = row + (((point / PointsASide) + 0.5) / PointsASide);
            double atColumn = column + (((point % PointsASide) + 0.5) / PointsASide);
            Vector3D place = toLocal.ToLocal(atRow, atColumn, HeightAt(atRow, atColumn));
            if (!seen.Lens.TryProject(seen.Pose.ToCamera(place), out PixelPoint pixel))
            {
                return double.NaN;
            }

            int pixelRow = (int)Math.Floor(pixel.Row);
            int pixelColumn = (int)Math.Floor(pixel.Column);
            if (pixelRow < 0 || pixelColumn < 0 || pixelRow >= seen.Lens.Rows || pixelColumn >= seen.Lens.Columns)
            {
                return double.NaN;
            }

            sum += frame[(pixelRow * seen.Lens.Columns) + pixelColumn];
        }

        return sum / (PointsASide * PointsASide);
    }

    /// <summary>Whether nothing of the surface stands between a cell's middle, lifted by 0.3 m, and a camera.</summary>
    public bool Sees(CameraPose camera, int row, int column)
    {
        double height = HeightAt(row + 0.5, column + 0.5);
        if (double.IsNaN(height))
        {
            return false;
        }

        Vector3D place = toLocal.ToLocal(row + 0.5, column + 0.5, height + HiddenBeyondMetres);
        return !field.TryHit(place, camera.CentreLocalMetres - place, 0, 1, out _);
    }

    /// <summary>Bilinear between the surface's cell centres; NaN beside a void.</summary>
    private double HeightAt(double mapRow, double mapColumn)
    {
        double east = map.WestMetres + (mapColumn * map.CellSizeMetres);
        double north = map.NorthMetres - (mapRow * map.CellSizeMetres);
        double column = ((east - surface.Grid.WestMetres) / surface.Grid.CellSizeMetres) - 0.5;
        double row = ((surface.Grid.NorthMetres - north) / surface.Grid.CellSizeMetres) - 0.5;
        if (!(row >= 0 && column >= 0 && row <= surface.Rows - 1 && column <= surface.Columns - 1))
        {
            return double.NaN;
        }

        int r = Math.Min((int)row, surface.Rows - 2);
        int c = Math.Min((int)column, surface.Columns - 2);
        double v = row - r;
        double u = column - c;
        double top = (surface[0, r, c] * (1 - u)) + (surface[0, r, c + 1] * u);
        double bottom = (surface[0, r + 1, c] * (1 - u)) + (surface[0, r + 1, c + 1] * u);
        return (top * (1 - v)) + (bottom * v);
    }

    private static double Nominal(Raster<float> surface)
    {
        foreach (float height in surface.BandMemory(0).Span)
        {
            if (!float.IsNaN(height))
            {
                return height;
            }
        }

        return 0;
    }
}
