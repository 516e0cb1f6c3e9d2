using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Reconstruction;

/// <summary>A distortion-free camera of the frames' size, and how its pixels are taken from the frames.</summary>
/// <remarks>One for all captures of a survey: they share the lens.</remarks>
internal sealed class LevelCamera
{
    private readonly float[] sourceColumn;
    private readonly float[] sourceRow;

    /// <param name="lens">Of the frames.</param>
    public LevelCamera(Lens lens)
    {
        Rows = lens.Rows;
        Columns = lens.Columns;
        Vector3D middle = lens.RayOf(new PixelPoint(lens.Columns / 2.0, lens.Rows / 2.0));
        Vector3D right = lens.RayOf(new PixelPoint((lens.Columns / 2.0) + 1, lens.Rows / 2.0));
        FocalPixels = 1 / ((right.X / right.Z) - (middle.X / middle.Z));
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
                sourceColumn[(row * Columns) + column] = seen
                    ? (float)Math.Clamp(pixel.Column - 0.5, 0, Columns - 1.001)
                    : 0;
                sourceRow[(row * Columns) + column] = seen ? (float)Math.Clamp(pixel.Row - 0.5, 0, Rows - 1.001) : 0;
            }
        }
    }

    public int Rows { get; }

    public int Columns { get; }

    public double FocalPixels { get; }

    public double PrincipalColumn { get; }

    public double PrincipalRow { get; }

    /// <summary>Takes a frame's counts into this camera, bilinear between pixels.</summary>
    public ushort[] Take(ReadOnlySpan<ushort> counts)
    {
        ushort[] taken = GC.AllocateUninitializedArray<ushort>(Rows * Columns);
        unchecked
        {
            // Source places are clamped into the frame.
            for (int at = 0; at < taken.Length; at++)
            {
                float column = sourceColumn[at];
                float row = sourceRow[at];
                int c = (int)column;
                int r = (int)row;
                float u = column - c;
                float v = row - r;
                int from = (r * Columns) + c;
                float a = counts[from];
                float b = counts[from + Columns];
                float upper = a + ((counts[from + 1] - a) * u);
                float lower = b + ((counts[from + Columns + 1] - b) * u);
                taken[at] = (ushort)(upper + ((lower - upper) * v) + 0.5f);
            }
        }

        return taken;
    }
}
