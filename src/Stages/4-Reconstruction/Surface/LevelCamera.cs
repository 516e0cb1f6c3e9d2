using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Reconstruction;

/// <summary>A distortion-free camera, and how its pixels are taken from the frames.</summary>
/// <remarks>
/// One for all captures of a survey: they share the lens. It is of the frames' size, or a whole part of it where frames
/// are large: the comparison takes up to 250 bytes for each pixel and thread.
/// </remarks>
internal sealed class LevelCamera
{
    /// <summary>Larger frames are reduced.</summary>
    private const int LargestPixels = 6_000_000;

    private readonly int frameColumns;
    private readonly float[] sourceColumn;
    private readonly float[] sourceRow;

    /// <param name="lens">Of the frames.</param>
    public LevelCamera(Lens lens)
    {
        Reduction = ReductionOf(lens.Rows, lens.Columns);
        frameColumns = lens.Columns;
        Rows = lens.Rows / Reduction;
        Columns = lens.Columns / Reduction;
        Vector3D middle = lens.RayOf(new PixelPoint(lens.Columns / 2.0, lens.Rows / 2.0));
        Vector3D right = lens.RayOf(new PixelPoint((lens.Columns / 2.0) + 1, lens.Rows / 2.0));
        FocalPixels = 1 / ((right.X / right.Z) - (middle.X / middle.Z)) / Reduction;
        PrincipalColumn = (lens.Columns / 2.0 / Reduction) - (FocalPixels * middle.X / middle.Z);
        PrincipalRow = (lens.Rows / 2.0 / Reduction) - (FocalPixels * middle.Y / middle.Z);
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
                    ? (float)Math.Clamp((pixel.Column / Reduction) - 0.5, 0, Columns - 1.001)
                    : 0;
                sourceRow[(row * Columns) + column] = seen
                    ? (float)Math.Clamp((pixel.Row / Reduction) - 0.5, 0, Rows - 1.001)
                    : 0;
            }
        }
    }

    /// <summary>Frame pixels along a side of one of this camera's.</summary>
    public int Reduction { get; }

    public int Rows { get; }

    public int Columns { get; }

    public double FocalPixels { get; }

    public double PrincipalColumn { get; }

    public double PrincipalRow { get; }

    /// <summary>Frame pixels along a side of a pixel of the camera for frames of so many.</summary>
    public static int ReductionOf(int rows, int columns)
    {
        int reduction = 1;
        while (rows / reduction * (columns / reduction) > LargestPixels)
        {
            reduction++;
        }

        return reduction;
    }

    /// <summary>Takes a frame's counts into this camera: means of its reduction, then bilinear between pixels.</summary>
    public ushort[] Take(ReadOnlySpan<ushort> counts)
    {
        if (Reduction > 1)
        {
            counts = Reduced(counts);
        }

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

    private ushort[] Reduced(ReadOnlySpan<ushort> counts)
    {
        ushort[] means = GC.AllocateUninitializedArray<ushort>(Rows * Columns);
        uint cells = (uint)(Reduction * Reduction);
        for (int row = 0; row < Rows; row++)
        {
            for (int column = 0; column < Columns; column++)
            {
                uint sum = cells / 2;
                for (int r = 0; r < Reduction; r++)
                {
                    int from = (((row * Reduction) + r) * frameColumns) + (column * Reduction);
                    foreach (ushort count in counts.Slice(from, Reduction))
                    {
                        sum += count;
                    }
                }

                means[(row * Columns) + column] = (ushort)(sum / cells);
            }
        }

        return means;
    }
}
