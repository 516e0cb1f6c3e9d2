using System.Numerics;
using Hillrow.Earth;

namespace Hillrow.Imaging.Tests.Rasters;

/// <summary>Small rasters of smooth values with a little noise, as ground has, and their pieces.</summary>
internal static class TestRasters
{
    public static RasterLabel Label(int rows, int columns, int bands) =>
        new(
            new GridGeometry(
                ReferenceSystem.Utm(19, north: false),
                new GridPoint(412_345.5, 6_241_234.25),
                0.05,
                rows,
                columns
            ),
            [.. Enumerable.Range(0, bands).Select(band => new BandLabel($"band {band + 1}"))]
        );

    /// <summary>Whole numbers between 0 and 120 (with thirds, in floating point).</summary>
    public static Raster<T> Waves<T>(int rows, int columns, int bands, int seed = 1)
        where T : unmanaged, INumber<T>
    {
        Raster<T> raster = new(Label(rows, columns, bands));
        Random random = new(seed);
        bool real = SampleTypes.IsFloatingPoint(SampleTypes.Of<T>());
        for (int band = 0; band < bands; band++)
        {
            for (int row = 0; row < rows; row++)
            {
                Span<T> line = raster.Row(band, row);
                for (int column = 0; column < columns; column++)
                {
                    double value = 60 + (50 * Math.Sin((row * 0.07) + band) * Math.Cos(column * 0.05)) + random.Next(8);
                    line[column] = T.CreateSaturating(real ? value / 3 : Math.Floor(value));
                }
            }
        }

        return raster;
    }

    /// <summary>One tile of all bands, in the form the writer takes.</summary>
    public static T[] Tile<T>(Raster<T> raster, CogWriter<T> writer, int tileRow, int tileColumn)
        where T : unmanaged, INumber<T>
    {
        int rows = writer.RowsOfTile(tileRow);
        int columns = writer.ColumnsOfTile(tileColumn);
        int size = Math.Max(writer.RowsOfTile(0), writer.ColumnsOfTile(0));
        T[] cells = new T[rows * columns * raster.BandCount];
        for (int line = 0; line < rows * raster.BandCount; line++)
        {
            raster
                .Row(line / rows, (tileRow * size) + (line % rows))
                .Slice(tileColumn * size, columns)
                .CopyTo(cells.AsSpan(line * columns));
        }

        return cells;
    }
}
