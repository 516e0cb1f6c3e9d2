using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Mapping;

/// <summary>What a band of the map looks like from a capture, in the pixels of another band's frame.</summary>
internal static class ExpectedFrame
{
    /// <summary>Cells of the map a pixel holds each way, at least: means of a few, not single ones.</summary>
    private const double CellsPerPixel = 2.5;

    /// <returns>Rows × Columns of the lens; NaN where the map shows nothing.</returns>
    public static float[] Of(
        SurveyGeometry geometry,
        PlacedCapture capture,
        BandGeometry band,
        RasterFile map,
        int mapBand,
        Raster<float> surface
    )
    {
        GridGeometry grid = map.RequireLabel().Grid;
        SightedFrame frame = geometry.FrameOf(capture, band);
        Lens lens = frame.Lens;
        Vector3D centre = CaptureView.ToGrid(geometry.Frame, grid.ReferenceSystem, capture.Pose.CentreLocalMetres);
        double ground = HeightNear(surface, centre);
        double height = Math.Max(5, centre.Z - ground);
        int level = map.LevelFor(height * frame.PixelAngleRadians / CellsPerPixel / grid.CellSizeMetres);
        double cell = grid.CellSizeMetres * map.FactorOf(level).Columns;
        double reach = 0.8 * height * frame.PixelAngleRadians * lens.Columns;
        int row0 = Math.Max(0, (int)((grid.NorthMetres - centre.Y - reach) / cell));
        int column0 = Math.Max(0, (int)((centre.X - reach - grid.WestMetres) / cell));
        int row1 = Math.Min(map.Levels[level].Rows, (int)((grid.NorthMetres - centre.Y + reach) / cell));
        int column1 = Math.Min(map.Levels[level].Columns, (int)((centre.X + reach - grid.WestMetres) / cell));
        float[] sums = new float[lens.Rows * lens.Columns];
        if (row1 <= row0 || column1 <= column0)
        {
            Array.Fill(sums, float.NaN);
            return sums;
        }

        RasterWindow window = new(row0, column0, row1 - row0, column1 - column0);
        float[] values = new float[window.CellCount];
        lock (map)
        {
            map.ReadTrueValues(level, mapBand, window, values);
        }

        GridToLocal toLocal = new(
            new GridGeometry(grid.ReferenceSystem, grid.OuterTopLeft, cell, row1, column1),
            geometry.Frame,
            ground
        );
        int[] counts = new int[sums.Length];
        for (int row = 0; row < window.Rows; row++)
        {
            for (int column = 0; column < window.Columns; column++)
            {
                float value = values[(row * window.Columns) + column];
                double east = grid.WestMetres + ((column0 + column + 0.5) * cell);
                double north = grid.NorthMetres - ((row0 + row + 0.5) * cell);
                double up = HeightAt(surface, north, east);
                if (
                    float.IsNaN(value)
                    || double.IsNaN(up)
                    || !lens.TryProject(
                        frame.Pose.ToCamera(toLocal.ToLocal(row0 + row + 0.5, column0 + column + 0.5, up)),
                        out PixelPoint pixel
                    )
                    || !lens.Contains(pixel)
                )
                {
                    continue;
                }

                int at = ((int)pixel.Row * lens.Columns) + (int)pixel.Column;
                sums[at] += value;
                counts[at]++;
            }
        }

        for (int at = 0; at < sums.Length; at++)
        {
            sums[at] = counts[at] > 0 ? sums[at] / counts[at] : float.NaN;
        }

        return sums;
    }

    private static double HeightAt(Raster<float> surface, double north, double east)
    {
        int row = (int)Math.Floor(surface.Grid.RowOf(north));
        int column = (int)Math.Floor(surface.Grid.ColumnOf(east));
        return row >= 0 && column >= 0 && row < surface.Rows && column < surface.Columns
            ? surface[0, row, column]
            : double.NaN;
    }

    private static double HeightNear(Raster<float> surface, Vector3D centre)
    {
        double here = HeightAt(surface, centre.Y, centre.X);
        if (!double.IsNaN(here))
        {
            return here;
        }

        foreach (float height in surface.Band(0))
        {
            if (!float.IsNaN(height))
            {
                return height;
            }
        }

        return centre.Z - 50;
    }
}
