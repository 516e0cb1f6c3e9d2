using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Mapping;

/// <summary>Kelvin of the surface, and the standard error that the conversion brings, from what the camera saw.</summary>
/// <param name="brightnessKelvin">At the camera.</param>
/// <param name="foliageShare">Of the cell, 0 … 1.</param>
/// <param name="distanceMetres">To the camera.</param>
public delegate (double Kelvin, double Sigma) ToSurfaceTemperature(
    double brightnessKelvin,
    double foliageShare,
    double distanceMetres
);

/// <summary>What a temperature map is made from: layers on one grid.</summary>
/// <param name="Brightness">As laid with <see cref="ValueCoding.Temperature"/>.</param>
/// <param name="BrightnessSigma">Its standard error.</param>
/// <param name="View">Band 1: view zenith.</param>
/// <param name="Reflectance">For how much of a cell is foliage.</param>
/// <param name="RedBand">Of it.</param>
/// <param name="NearInfraredBand">Of it.</param>
/// <param name="PixelMetres">Of the thermal frames on the ground: foliage is counted over as much.</param>
/// <param name="HeightMetres">Of the camera above ground, typical.</param>
/// <param name="ToSurface">The conversion.</param>
public sealed record TemperatureInput(
    RasterFile Brightness,
    RasterFile BrightnessSigma,
    RasterFile View,
    RasterFile Reflectance,
    int RedBand,
    int NearInfraredBand,
    double PixelMetres,
    double HeightMetres,
    ToSurfaceTemperature ToSurface
);

/// <summary>Brightness temperature → temperature of the surface, cell by cell, on the grid of the reflectance map.</summary>
/// <remarks>
/// Foliage from NDVI: none at 0.2, whole at 0.7, straight between: bare soil and closed foliage at a few centimetres a cell;
/// common practice, no source. Memory: one tile.
/// </remarks>
public static class TemperatureMap
{
    private const double BareNdvi = 0.2;
    private const double FoliageNdvi = 0.7;
    private const int TileSize = 512;

    /// <param name="input">Layers on one grid.</param>
    /// <param name="temperatureFile">Degrees Celsius, 16-bit steps of 0.01.</param>
    /// <param name="sigmaFile">Its standard error, logarithmic byte.</param>
    /// <param name="threads">The files do not depend on it.</param>
    /// <param name="cancel">Asked between tiles.</param>
    /// <exception cref="ArgumentException">The layers lie on different grids.</exception>
    public static void Write(
        TemperatureInput input,
        string temperatureFile,
        string sigmaFile,
        int threads,
        CancellationToken cancel = default
    )
    {
        ArgumentNullException.ThrowIfNull(input);
        GridGeometry grid = input.Brightness.RequireLabel().Grid;
        if (input.Reflectance.RequireLabel().Grid != grid)
        {
            throw new ArgumentException("The thermal map must lie on the reflectance map's cells.", nameof(input));
        }

        ValueCoding coding = ValueCoding.Temperature with
        {
            Meaning = "temperature of the surface; emissivity, sky and air between taken off",
        };
        string[] bands = ["temperature"];
        CogLayout measured = new() { Level = 1, TileSize = TileSize };
        using CogWriter<ushort> temperature = CogWriter.Create<ushort>(
            temperatureFile,
            coding.ValueLabel(grid, bands),
            measured
        );
        using CogWriter<byte> sigma = CogWriter.Create<byte>(
            sigmaFile,
            coding.SigmaLabel(grid, bands),
            CogLayout.ForClasses with
            {
                Level = 1,
                TileSize = TileSize,
            }
        );
        Lock gate = new();
        Parallel.For(
            0,
            temperature.TileRows * temperature.TileColumns,
            new ParallelOptions { MaxDegreeOfParallelism = Math.Max(1, threads), CancellationToken = cancel },
            tile =>
            {
                int tileRow = tile / temperature.TileColumns;
                int tileColumn = tile % temperature.TileColumns;
                RasterWindow window = new(
                    tileRow * TileSize,
                    tileColumn * TileSize,
                    temperature.RowsOfTile(tileRow),
                    temperature.ColumnsOfTile(tileColumn)
                );
                (ushort[] values, byte[] sigmas) = Tile(input, grid, window, coding, gate);
                temperature.WriteTile(tileRow, tileColumn, values);
                sigma.WriteTile(tileRow, tileColumn, sigmas);
            }
        );
        temperature.Complete();
        sigma.Complete();
    }

    private static (ushort[] Values, byte[] Sigmas) Tile(
        TemperatureInput input,
        GridGeometry grid,
        RasterWindow window,
        ValueCoding coding,
        Lock gate
    )
    {
        int half = Math.Max(0, (int)Math.Round(0.5 * input.PixelMetres / grid.CellSizeMetres));
        int row0 = Math.Max(0, window.Row - half);
        int column0 = Math.Max(0, window.Column - half);
        RasterWindow wide = new(
            row0,
            column0,
            Math.Min(grid.Rows, window.Row + window.Rows + half) - row0,
            Math.Min(grid.Columns, window.Column + window.Columns + half) - column0
        );
        float[] celsius = new float[window.CellCount];
        byte[] codes = new byte[window.CellCount];
        float[] zenith = new float[window.CellCount];
        float[] red = new float[wide.CellCount];
        float[] infrared = new float[wide.CellCount];
        lock (gate)
        {
            input.Brightness.ReadTrueValues(0, 0, window, celsius);
            input.BrightnessSigma.Read<byte>(0, 0, window, codes);
            input.View.ReadTrueValues(0, 0, window, zenith);
            input.Reflectance.ReadTrueValues(0, input.RedBand, wide, red);
            input.Reflectance.ReadTrueValues(0, input.NearInfraredBand, wide, infrared);
        }

        float[] foliage = new float[wide.CellCount];
        for (int cell = 0; cell < foliage.Length; cell++)
        {
            double ndvi = (infrared[cell] - red[cell]) / (infrared[cell] + red[cell]);
            foliage[cell] = (float)Math.Clamp((ndvi - BareNdvi) / (FoliageNdvi - BareNdvi), 0, 1);
        }

        ushort[] values = new ushort[window.CellCount];
        byte[] sigmas = new byte[window.CellCount];
        WindowSums sums = new(foliage, wide.Rows, wide.Columns);
        for (int row = 0; row < window.Rows; row++)
        {
            for (int column = 0; column < window.Columns; column++)
            {
                int cell = (row * window.Columns) + column;
                values[cell] = ValueCoding.Missing;
                double share = sums.Mean(window.Row - row0 + row, window.Column - column0 + column, half);
                if (float.IsNaN(celsius[cell]) || double.IsNaN(share))
                {
                    continue;
                }

                double lean = float.IsNaN(zenith[cell]) ? 0 : zenith[cell] * Math.PI / 180;
                (double kelvin, double more) = input.ToSurface(
                    celsius[cell] - coding.Offset,
                    share,
                    input.HeightMetres / Math.Cos(Math.Min(lean, 1.2))
                );
                values[cell] = coding.Encode((float)kelvin);
                sigmas[cell] = coding.EncodeSigma((float)double.Hypot(coding.DecodeSigma(codes[cell]), more));
            }
        }

        return (values, sigmas);
    }
}
