using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Reconstruction;

/// <summary>A distortion-free camera of reduced size, and how its pixels are taken from full frames.</summary>
/// <remarks>One for all captures of a survey: they share the lens.</remarks>
internal sealed class LevelCamera
{
    private readonly float[] sourceColumn;
    private readonly float[] sourceRow;
    private readonly int fullRows;
    private readonly int fullColumns;

    /// <param name="lens">Of the full frames.</param>
    public LevelCamera(Lens lens)
    {
        fullRows = lens.Rows;
        fullColumns = lens.Columns;
        Rows = lens.Rows / 2;
        Columns = lens.Columns / 2;
        Vector3D middle = lens.RayOf(new PixelPoint(lens.Columns / 2.0, lens.Rows / 2.0));
        Vector3D right = lens.RayOf(new PixelPoint((lens.Columns / 2.0) + 1, lens.Rows / 2.0));
        FocalPixels = 1 / ((right.X / right.Z) - (middle.X / middle.Z)) / 2;
        PrincipalColumn = (Columns / 2.0) - (FocalPixels * middle.X / middle.Z);
        PrincipalRow = (Rows / 2.0) - (FocalPixels * middle.Y / middle.Z);
        sourceColumn = new float[Rows * Columns];
        sourceRow = new float[Rows * Columns];
        for (int row = 0; row < Rows; row++)
        {
            for (int column = 0; column < Columns; column++)
            {
                Vector3D ray = new(
                    (column + 0.5 - PrincipalColumn) / FocalPixels,
                    (row + 0.5 - PrincipalRow) / FocalPixels,
                    1
                );
                bool seen = lens.TryProject(ray, out PixelPoint pixel);
                sourceColumn[(row * Columns) + column] = seen ? (float)((pixel.Column / 2) - 0.5) : -1;
                sourceRow[(row * Columns) + column] = seen ? (float)((pixel.Row / 2) - 0.5) : -1;
            }
        }
    }

    public int Rows { get; }

    public int Columns { get; }

    public double FocalPixels { get; }

    public double PrincipalColumn { get; }

    public double PrincipalRow { get; }

    /// <summary>Takes a full frame's counts into this camera: means of 2 × 2 pixels, bilinear between.</summary>
    public float[] Take(ReadOnlySpan<ushort> counts)
    {
        int halfRows = fullRows / 2;
        int halfColumns = fullColumns / 2;
        float[] half = new float[halfRows * halfColumns];
        unchecked
        {
            // Indices are bounded by the frame; four 16-bit counts do not overflow 32 bits.
            for (int row = 0; row < halfRows; row++)
            {
                ReadOnlySpan<ushort> top = counts.Slice(2 * row * fullColumns, fullColumns);
                ReadOnlySpan<ushort> below = counts.Slice(((2 * row) + 1) * fullColumns, fullColumns);
                Span<float> into = half.AsSpan(row * halfColumns, halfColumns);
                for (int column = 0; column < into.Length; column++)
                {
                    int at = 2 * column;
                    into[column] = 0.25f * (top[at] + top[at + 1] + below[at] + below[at + 1]);
                }
            }

            float[] taken = new float[Rows * Columns];
            for (int at = 0; at < taken.Length; at++)
            {
                float column = Math.Clamp(sourceColumn[at], 0, halfColumns - 1.001f);
                float row = Math.Clamp(sourceRow[at], 0, halfRows - 1.001f);
                int c = (int)column;
                int r = (int)row;
                float u = column - c;
                float v = row - r;
                int from = (r * halfColumns) + c;
                float upper = half[from] + ((half[from + 1] - half[from]) * u);
                float lower =
                    half[from + halfColumns] + ((half[from + halfColumns + 1] - half[from + halfColumns]) * u);
                taken[at] = upper + ((lower - upper) * v);
            }

            return taken;
        }
    }
}
