using Hillrow.Reconstruction;
using OpenCvSharp;

namespace Hillrow.Validation.Reconstruction;

/// <summary>Settings of OpenCV's semi-global matcher.</summary>
/// <param name="Mode">0: five paths, 1: eight.</param>
/// <param name="Block">Side of the compared squares.</param>
/// <param name="Small">Penalty of a step of one disparity, per pixel of the square.</param>
/// <param name="Large">Penalty of larger steps, per pixel of the square.</param>
/// <param name="Cap">Of the filtered brightness.</param>
/// <param name="Unique">Lead of the best over the second, percent.</param>
internal sealed record MatcherSettings(int Mode, int Block, int Small, int Large, int Cap, int Unique);

/// <summary>A real rectified pair with true disparity of the left picture, and two ways to match it.</summary>
/// <param name="Name">Of the pair.</param>
/// <param name="Left">Grey, 8 bits.</param>
/// <param name="Right">Grey, 8 bits.</param>
/// <param name="Truth">Rows × columns disparities in pixels, 0 unknown.</param>
/// <param name="Levels">Disparities tried, a multiple of 16.</param>
/// <param name="BadPixels">A disparity farther from the truth than this is bad.</param>
internal sealed record DensePair(string Name, Mat Left, Mat Right, float[] Truth, int Levels, double BadPixels)
{
    private const int SmallStep = 2;
    private const int LargeStep = 22;

    /// <summary>The stage's own kernels: census, half-pixel levels, eight paths; both ways round, holes from behind.</summary>
    public float[] ByOwnKernels()
    {
        float[] left = Matched(Grey(Left), Grey(Right));

        // Mirrored, the right picture becomes the left one of a pair of the same kind.
        float[] right = Mirrored(Matched(Mirrored(Grey(Right)), Mirrored(Grey(Left))));
        int columns = Left.Cols;
        for (int at = 0; at < left.Length; at++)
        {
            int there = (at % columns) - (int)MathF.Round(float.IsNaN(left[at]) ? 0 : left[at]);
            bool agrees = there >= 0 && Math.Abs(right[at - (at % columns) + there] - left[at]) <= 1;
            left[at] = agrees ? left[at] : float.NaN;
        }

        return FilledFromBehind(left);
    }

    /// <summary>OpenCV's semi-global matcher; its holes filled the same way.</summary>
    public float[] BySemiGlobalMatcher(MatcherSettings how)
    {
        using StereoSGBM matcher = StereoSGBM.Create(
            0,
            Levels,
            how.Block,
            how.Small * how.Block * how.Block,
            how.Large * how.Block * how.Block,
            1,
            how.Cap,
            how.Unique,
            0,
            0,
            (StereoSGBMMode)how.Mode
        );
        using Mat found = new();
        matcher.Compute(Left, Right, found);
        float[] disparity = new float[Truth.Length];
        int rows = Left.Rows;
        int columns = Left.Cols;
        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                short sixteenths = found.At<short>(row, column);
                disparity[(row * columns) + column] = sixteenths < 0 ? float.NaN : sixteenths / 16f;
            }
        }

        return FilledFromBehind(disparity);
    }

    /// <summary>Share of the pixels with known truth whose disparity is off by more than allowed.</summary>
    public double BadShare(float[] disparity)
    {
        int known = 0;
        int bad = 0;
        for (int at = 0; at < Truth.Length; at++)
        {
            if (Truth[at] > 0)
            {
                known++;
                bad += Math.Abs(disparity[at] - Truth[at]) <= BadPixels ? 0 : 1;
            }
        }

        return (double)bad / known;
    }

    private float[] Matched(ushort[] own, ushort[] other)
    {
        int rows = Left.Rows;
        int columns = Left.Cols;
        int length = BitsPicture.LengthOf(rows, columns);
        BitsPicture ours = BitsPicture.Of(own, rows, columns, new uint[length]);
        uint[] bits = new uint[2 * length];
        BitsPicture.Fill(other, rows, columns, bits.AsSpan(0, length));
        ushort[] half = new ushort[other.Length];
        for (int at = 0; at < other.Length; at++)
        {
            half[at] = (ushort)((other[at] + other[Math.Min(other.Length - 1, at + 1)] + 1) / 2);
        }

        BitsPicture.Fill(half, rows, columns, bits.AsSpan(length, length));
        int tileCount =
            ((rows + SweepTiles.Height - 1) / SweepTiles.Height)
            * ((columns + SweepTiles.Width - 1) / SweepTiles.Width);
        int levels = TileReach.RoundedUp((2 * Levels) + 2);
        SweepTiles tiles = new(rows, columns, Filled(tileCount, -1), Filled(tileCount, levels));
        byte[] costs = new byte[tiles.VolumeLength];
        SweepCosts.Fill(
            ours,
            [
                new SweepPartner(
                    new BitsPicture(rows, columns, bits, HalfStep.Columns),
                    (_, _, level) => (-0.5 * level, 0)
                ),
            ],
            tiles,
            costs
        );
        float[] found = new float[own.Length];
        LevelTaker taker = new(tiles, 1, found);
        new PathAggregation(tiles, SmallStep, LargeStep, CaptureHeights.Edge(own)).Sum(
            costs,
            own,
            new byte[tiles.VolumeLength],
            ref taker
        );
        for (int at = 0; at < found.Length; at++)
        {
            found[at] /= 2;
        }

        return found;
    }

    private static int[] Filled(int length, int value)
    {
        int[] values = new int[length];
        Array.Fill(values, value);
        return values;
    }

    /// <summary>The farther of the nearest known disparities to the left and to the right, then the 3 × 3 median.</summary>
    private float[] FilledFromBehind(float[] disparity)
    {
        int rows = Left.Rows;
        int columns = Left.Cols;
        float[] filled = [.. disparity];
        for (int row = 0; row < rows; row++)
        {
            Span<float> line = filled.AsSpan(row * columns, columns);
            float[] before = new float[columns];
            float last = float.PositiveInfinity;
            for (int column = 0; column < columns; column++)
            {
                last = float.IsNaN(line[column]) ? last : line[column];
                before[column] = last;
            }

            last = float.PositiveInfinity;
            for (int column = columns - 1; column >= 0; column--)
            {
                bool known = !float.IsNaN(line[column]);
                last = known ? line[column] : last;
                float behind = Math.Min(last, before[column]);
                line[column] = float.IsFinite(behind) ? behind : 0;
            }
        }

        using Mat whole = Mat.FromPixelData(rows, columns, MatType.CV_32FC1, filled);
        using Mat smooth = new();
        Cv2.MedianBlur(whole, smooth, 3);
        smooth.GetArray(out float[] result);
        return result;
    }

    private static ushort[] Grey(Mat picture)
    {
        picture.GetArray(out byte[] bytes);

        // More room between grey values keeps the means of neighbours apart.
        return [.. bytes.Select(value => (ushort)(value * 16))];
    }

    private ushort[] Mirrored(ushort[] values) => Mirrored<ushort>(values);

    private float[] Mirrored(float[] values) => Mirrored<float>(values);

    private T[] Mirrored<T>(T[] values)
    {
        T[] mirrored = [.. values];
        int rows = Left.Rows;
        int columns = Left.Cols;
        for (int row = 0; row < rows; row++)
        {
            Array.Reverse(mirrored, row * columns, columns);
        }

        return mirrored;
    }
}
