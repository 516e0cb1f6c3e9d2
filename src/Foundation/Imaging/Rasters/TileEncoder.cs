using System.Numerics;
using System.Runtime.InteropServices;

namespace Hillrow.Imaging;

/// <summary>Turns the cells of one tile into the bytes a TIFF stores. One for each thread at work.</summary>
internal sealed class TileEncoder<T>
    where T : unmanaged, INumber<T>
{
    private readonly CogLayout layout;
    private readonly int bandsSideBySide;
    private readonly int predictor;
    private readonly byte[] plain;
    private readonly T[] rowOfCells;
    private readonly byte[] scratch;
    private readonly DeflateCoding? deflate;

    public TileEncoder(CogLayout layout, int bandsSideBySide)
    {
        this.layout = layout;
        this.bandsSideBySide = bandsSideBySide;
        predictor = PredictorOf(layout);
        int cellsOfRow = checked(layout.TileSize * bandsSideBySide);
        int bytesOfRow = checked(cellsOfRow * Marshal.SizeOf<T>());
        rowOfCells = new T[cellsOfRow];
        scratch = new byte[predictor == 3 ? bytesOfRow : 0];
        plain = new byte[checked(bytesOfRow * layout.TileSize)];
        deflate = layout.Codec == RasterCodec.Deflate ? new DeflateCoding(layout.Level) : null;
    }

    /// <summary>TIFF Predictor (tag 317) that the layout means for this type of number.</summary>
    public static int PredictorOf(CogLayout layout) =>
        layout.Codec == RasterCodec.None || !layout.Predict ? 1
        : SampleTypes.IsFloatingPoint(SampleTypes.Of<T>()) ? 3
        : 2;

    /// <summary>Bytes to store; valid until the next call.</summary>
    /// <param name="cells">Band after band, each rows × columns, row-major: the part of the tile inside the raster.</param>
    /// <param name="rows">1 … tile size.</param>
    /// <param name="columns">1 … tile size.</param>
    public ReadOnlySpan<byte> Encode(ReadOnlySpan<T> cells, int rows, int columns)
    {
        int bytesOfRow = rowOfCells.Length * Marshal.SizeOf<T>();
        for (int row = 0; row < rows; row++)
        {
            ReadOnlySpan<T> line = LineOf(cells, rows, columns, row);
            Predict(line, plain.AsSpan(row * bytesOfRow, bytesOfRow));
        }

        // Below the raster's edge the last row goes on: it costs next to nothing compressed.
        Span<byte> last = plain.AsSpan((rows - 1) * bytesOfRow, bytesOfRow);
        for (int row = rows; row < layout.TileSize; row++)
        {
            last.CopyTo(plain.AsSpan(row * bytesOfRow));
        }

        return deflate is not null ? deflate.Encode(plain) : plain;
    }

    private ReadOnlySpan<T> LineOf(ReadOnlySpan<T> cells, int rows, int columns, int row)
    {
        if (bandsSideBySide == 1)
        {
            ReadOnlySpan<T> line = cells.Slice(row * columns, columns);
            if (columns == layout.TileSize)
            {
                return line;
            }

            line.CopyTo(rowOfCells);
            rowOfCells.AsSpan(columns).Fill(line[^1]);
            return rowOfCells;
        }

        for (int band = 0; band < bandsSideBySide; band++)
        {
            ReadOnlySpan<T> line = cells.Slice(((band * rows) + row) * columns, columns);
            int at = band;
            // Unchecked: bounded by the tile, and a loop over every number written.
            unchecked
            {
                foreach (T value in line)
                {
                    rowOfCells[at] = value;
                    at += bandsSideBySide;
                }

                for (; at < rowOfCells.Length; at += bandsSideBySide)
                {
                    rowOfCells[at] = line[^1];
                }
            }
        }

        return rowOfCells;
    }

    private void Predict(ReadOnlySpan<T> line, Span<byte> to)
    {
        ReadOnlySpan<byte> bytes = MemoryMarshal.AsBytes(line);
        switch (predictor)
        {
            case 3:
                FloatingPointPredictor.Encode(bytes, Marshal.SizeOf<T>(), bandsSideBySide, scratch, to);
                break;
            case 2 when Marshal.SizeOf<T>() == 1:
                NeighbourDifference.Encode(bytes, bandsSideBySide, to);
                break;
            case 2 when Marshal.SizeOf<T>() == 2:
                NeighbourDifference.Encode(
                    MemoryMarshal.Cast<byte, ushort>(bytes),
                    bandsSideBySide,
                    MemoryMarshal.Cast<byte, ushort>(to)
                );
                break;
            case 2:
                NeighbourDifference.Encode(
                    MemoryMarshal.Cast<byte, uint>(bytes),
                    bandsSideBySide,
                    MemoryMarshal.Cast<byte, uint>(to)
                );
                break;
            default:
                bytes.CopyTo(to);
                break;
        }
    }
}
