using Hillrow.Imaging;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Reconstruction.Tests;

public sealed class TargetCornersTests
{
    private const int Rows = 200;
    private const int Columns = 260;

    [Fact]
    public void Find_TurnedBoardsAmongLeaves_FirstOnesAreTheirMiddles()
    {
        PixelPoint[] boards = [new(60.3, 50.8), new(150.62, 140.25), new(210.5, 60.1)];
        ushort[] counts = new ushort[Rows * Columns];
        SplittableRandom draw = new(8);
        for (int at = 0; at < counts.Length; at++)
        {
            counts[at] = (ushort)(1500 + (250 * draw.NextGaussian()));
        }

        for (int index = 0; index < boards.Length; index++)
        {
            Paint(counts, boards[index], 0.3 + (0.5 * index));
        }

        IReadOnlyList<PixelPoint> found = TargetCorners.Find(counts, Rows, Columns, 10);
        foreach (PixelPoint board in boards)
        {
            double nearest = found
                .Take(3)
                .Min(corner => Math.Max(Math.Abs(corner.Column - board.Column), Math.Abs(corner.Row - board.Row)));
            Assert.True(nearest < 0.35, $"{board}: {nearest:F2}");
        }
    }

    /// <summary>A board of 15 pixels, each pixel the mean of 5 × 5 samples.</summary>
    private static void Paint(ushort[] counts, PixelPoint middle, double angle)
    {
        (double c, double s) = (Math.Cos(angle), Math.Sin(angle));
        for (int row = (int)middle.Row - 13; row <= middle.Row + 13; row++)
        {
            for (int column = (int)middle.Column - 13; column <= middle.Column + 13; column++)
            {
                double sum = 0;
                for (int sample = 0; sample < 25; sample++)
                {
                    double x = column + 0.1 + (0.2 * (sample % 5)) - middle.Column;
                    double y = row + 0.1 + (0.2 * (sample / 5)) - middle.Row;
                    (double u, double v) = ((c * x) + (s * y), (c * y) - (s * x));
                    bool inside = Math.Abs(u) < 7.5 && Math.Abs(v) < 7.5;
                    sum +=
                        !inside ? counts[(row * Columns) + column]
                        : u * v > 0 ? 3800
                        : 200;
                }

                counts[(row * Columns) + column] = (ushort)(sum / 25);
            }
        }
    }
}
