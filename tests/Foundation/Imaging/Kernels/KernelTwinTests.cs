using System.Numerics;
using Xunit;

namespace Hillrow.Imaging.Tests;

/// <summary>The fast kernels against plain ones written straight from their definitions, at awkward sizes.</summary>
public sealed class KernelTwinTests
{
    private const double DoubleTolerance = 1e-12; // sums of tens of values near 1
    private const double SingleTolerance = 2e-6; // the same in single precision

    public static TheoryData<int, int> Sizes =>
        new()
        {
            { 1, 1 },
            { 1, 7 },
            { 9, 1 },
            { 5, 8 },
            { 7, 33 },
            { 13, 67 },
            { 40, 131 },
        };

    [Theory]
    [MemberData(nameof(Sizes))]
    public void SeparableFilter_AnySizeAndBorder_EqualsThePlainSum(int rows, int columns)
    {
        double[] picture = Picture(rows, columns, 1);
        double[] down = [0.2, -0.5, 1.1, 0.3, 0.05];
        double[] along = [0.7, 0.1, -0.3, 0.4, 0.2, -0.6, 0.15];
        foreach (Border border in Enum.GetValues<Border>())
        {
            double[] wanted = new double[picture.Length];
            for (int row = 0; row < rows; row++)
            {
                for (int column = 0; column < columns; column++)
                {
                    double sum = 0;
                    for (int i = 0; i < down.Length; i++)
                    {
                        for (int j = 0; j < along.Length; j++)
                        {
                            int r = Borders.Index(row + i - 2, rows, border);
                            int c = Borders.Index(column + j - 3, columns, border);
                            sum += down[i] * along[j] * picture[(r * columns) + c];
                        }
                    }

                    wanted[(row * columns) + column] = sum;
                }
            }

            double[] got = new double[picture.Length];
            SeparableFilter.Apply<double>(picture, rows, columns, down, along, border, got);
            Near(wanted, got, DoubleTolerance);
            float[] single = new float[picture.Length];
            SeparableFilter.Apply<float>(Single(picture), rows, columns, Single(down), Single(along), border, single);
            Near(wanted, Double(single), SingleTolerance);
        }
    }

    [Theory]
    [MemberData(nameof(Sizes))]
    public void GreyMorphology_AnySizeAndElement_EqualsThePlainExtreme(int rows, int columns)
    {
        double[] picture = Picture(rows, columns, 2);
        StructuringElement[] elements =
        [
            StructuringElement.Square(1),
            StructuringElement.Square(5),
            StructuringElement.Disk(1),
            StructuringElement.Disk(4),
        ];
        foreach (StructuringElement element in elements)
        {
            double[] eroded = new double[picture.Length];
            double[] dilated = new double[picture.Length];
            float[] erodedSingle = new float[picture.Length];
            GreyMorphology.Erode<double>(picture, rows, columns, element, eroded);
            GreyMorphology.Dilate<double>(picture, rows, columns, element, dilated);
            GreyMorphology.Erode<float>(Single(picture), rows, columns, element, erodedSingle);
            for (int at = 0; at < picture.Length; at++)
            {
                double[] near = [.. Neighbours(at, rows, columns, element).Select(index => picture[index])];
                Assert.Equal(near.Min(), eroded[at]);
                Assert.Equal(near.Max(), dilated[at]);
                Assert.Equal((float)near.Min(), erodedSingle[at]);
            }
        }
    }

    [Theory]
    [MemberData(nameof(Sizes))]
    public void BinaryMorphologyAndDistances_AnySize_EqualBruteForce(int rows, int columns)
    {
        byte[] mask = [.. Picture(rows, columns, 3).Select(value => value > 0.25 ? (byte)1 : (byte)0)];
        StructuringElement element = StructuringElement.Disk(2);
        byte[] eroded = new byte[mask.Length];
        byte[] dilated = new byte[mask.Length];
        double[] distance = new double[mask.Length];
        int[] city = new int[mask.Length];
        int[] chess = new int[mask.Length];
        BinaryMorphology.Erode(mask, rows, columns, element, eroded);
        BinaryMorphology.Dilate(mask, rows, columns, element, dilated);
        DistanceTransform.Euclidean(mask, rows, columns, distance);
        DistanceTransform.CityBlock(mask, rows, columns, city);
        DistanceTransform.Chessboard(mask, rows, columns, chess);
        bool hasZero = mask.Contains((byte)0);
        for (int at = 0; at < mask.Length; at++)
        {
            int[] near = [.. Neighbours(at, rows, columns, element)];
            bool full = near.Length == 13 && near.All(index => mask[index] != 0);
            Assert.Equal(full ? 1 : 0, eroded[at]);
            Assert.Equal(near.Any(index => mask[index] != 0) ? 1 : 0, dilated[at]);
            (double best, int bestCity, int bestChess) = (double.PositiveInfinity, int.MaxValue, int.MaxValue);
            for (int other = 0; other < mask.Length && hasZero; other++)
            {
                if (mask[other] == 0)
                {
                    int dr = Math.Abs((at / columns) - (other / columns));
                    int dc = Math.Abs((at % columns) - (other % columns));
                    best = Math.Min(best, Math.Sqrt((dr * dr) + (dc * dc)));
                    bestCity = Math.Min(bestCity, dr + dc);
                    bestChess = Math.Min(bestChess, Math.Max(dr, dc));
                }
            }

            Assert.Equal(best, distance[at], 12);
            Assert.Equal(bestCity, city[at]);
            Assert.Equal(bestChess, chess[at]);
        }
    }

    [Theory]
    [MemberData(nameof(Sizes))]
    public void Median_AnySize_EqualsTheSortedMiddle(int rows, int columns)
    {
        double[] picture = Picture(rows, columns, 4);
        double[] got = new double[picture.Length];
        double[] small = new double[picture.Length];
        float[] single = new float[picture.Length];
        WindowFilter.Median<double>(picture, rows, columns, 3, Border.Mirror, small);
        WindowFilter.Median<float>(Single(picture), rows, columns, 3, Border.Mirror, single);
        WindowFilter.Median<double>(picture, rows, columns, 5, Border.Mirror, got);
        for (int at = 0; at < picture.Length; at++)
        {
            List<double> window = [];
            List<double> nine = [];
            for (int i = -2; i <= 2; i++)
            {
                for (int j = -2; j <= 2; j++)
                {
                    int r = Borders.Index((at / columns) + i, rows, Border.Mirror);
                    int c = Borders.Index((at % columns) + j, columns, Border.Mirror);
                    window.Add(picture[(r * columns) + c]);
                    if (Math.Abs(i) <= 1 && Math.Abs(j) <= 1)
                    {
                        nine.Add(picture[(r * columns) + c]);
                    }
                }
            }

            window.Sort();
            nine.Sort();
            Assert.Equal(nine[4], small[at]);
            Assert.Equal((float)nine[4], single[at]);
            Assert.Equal(window[12], got[at]);
        }
    }

    [Theory]
    [InlineData(ResamplingMethod.Nearest)]
    [InlineData(ResamplingMethod.Bilinear)]
    [InlineData(ResamplingMethod.Bicubic)]
    [InlineData(ResamplingMethod.SharpBicubic)]
    [InlineData(ResamplingMethod.Lanczos3)]
    public void PictureResize_PointMethods_EqualSamplesAtThePixelCentres(ResamplingMethod method)
    {
        const int rows = 11;
        const int columns = 37;
        double[] picture = Picture(rows, columns, 5);
        foreach ((int newRows, int newColumns) in ((int, int)[])[(23, 50), (5, 9), (11, 37), (1, 1)])
        {
            double[] got = new double[newRows * newColumns];
            PictureResize.Apply<double>(picture, rows, columns, method, got, newRows, newColumns);
            for (int at = 0; at < got.Length; at++)
            {
                PixelPoint place = new(
                    ((at % newColumns) + 0.5) * columns / newColumns,
                    ((at / newColumns) + 0.5) * rows / newRows
                );
                Assert.Equal(Resampling.Sample<double>(picture, rows, columns, place, method), got[at], 1e-12);
            }
        }
    }

    [Theory]
    [InlineData(5, 9)]
    [InlineData(11, 37)]
    [InlineData(1, 1)]
    [InlineData(4, 36)]
    public void PictureResize_Area_KeepsTheMean(int newRows, int newColumns)
    {
        double[] picture = Picture(11, 37, 6);
        double[] got = new double[newRows * newColumns];
        PictureResize.Apply<double>(picture, 11, 37, ResamplingMethod.Area, got, newRows, newColumns);
        Assert.Equal(picture.Average(), got.Average(), 1e-12);
    }

    [Fact]
    public void PictureRemap_AnyPlace_EqualsTheSample()
    {
        const int rows = 9;
        const int columns = 14;
        double[] picture = Picture(rows, columns, 7);
        Random random = new(7);
        float[] atColumns =
        [
            .. Enumerable.Range(0, 500).Select(_ => (float)((random.NextDouble() * (columns + 2)) - 1)),
        ];
        float[] atRows = [.. Enumerable.Range(0, 500).Select(_ => (float)((random.NextDouble() * (rows + 2)) - 1))];
        float[] linear = new float[500];
        float[] cubic = new float[500];
        PictureRemap.Bilinear(Single(picture), rows, columns, atColumns, atRows, linear);
        PictureRemap.Bicubic(Single(picture), rows, columns, atColumns, atRows, cubic);
        int outside = 0;
        for (int at = 0; at < 500; at++)
        {
            if (atColumns[at] < 0 || atRows[at] < 0 || atColumns[at] > columns || atRows[at] > rows)
            {
                outside++;
                Assert.True(float.IsNaN(linear[at]) && float.IsNaN(cubic[at]));
                continue;
            }

            PixelPoint place = new(atColumns[at], atRows[at]);
            Assert.Equal(
                Resampling.Sample<double>(picture, rows, columns, place, ResamplingMethod.Bilinear),
                linear[at],
                1e-5
            );
            Assert.Equal(
                Resampling.Sample<double>(picture, rows, columns, place, ResamplingMethod.Bicubic),
                cubic[at],
                1e-5
            );
        }

        Assert.InRange(outside, 1, 400);
    }

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(8)]
    [InlineData(15)]
    [InlineData(97)]
    [InlineData(128)]
    public void FourierTransform_AnyLength_EqualsThePlainSum(int length)
    {
        Random random = new(8);
        Complex[] values =
        [
            .. Enumerable.Range(0, length).Select(_ => new Complex(random.NextDouble(), random.NextDouble())),
        ];
        Complex[] got = [.. values];
        FourierTransform transform = new(length);
        transform.Forward(got);
        for (int k = 0; k < length; k++)
        {
            Complex sum = Complex.Zero;
            for (int n = 0; n < length; n++)
            {
                sum += values[n] * Complex.Exp(new Complex(0, -2 * Math.PI * k * n / length));
            }

            Assert.Equal(0, (sum - got[k]).Magnitude, 1e-10);
        }

        transform.Inverse(got);
        for (int n = 0; n < length; n++)
        {
            Assert.Equal(0, (values[n] - got[n]).Magnitude, 1e-12);
        }
    }

    [Fact]
    public void ShiftEstimate_OddSizedPictureAndPhase_RecoversAWholeShift()
    {
        const int rows = 30;
        const int columns = 45;
        double[] picture = Picture(rows, columns, 9);
        double[] moved = new double[picture.Length];
        for (int at = 0; at < picture.Length; at++)
        {
            int r = Borders.Index((at / columns) - 7, rows, Border.Wrap);
            int c = Borders.Index((at % columns) + 4, columns, Border.Wrap);
            moved[at] = picture[(r * columns) + c];
        }

        foreach (SpectrumWeight weight in Enum.GetValues<SpectrumWeight>())
        {
            PictureShift shift = ShiftEstimate.Of<double>(picture, moved, rows, columns, weight);
            Assert.Equal(7, shift.Rows, 1e-3);
            Assert.Equal(-4, shift.Columns, 1e-3);
            Assert.Equal(1, shift.PeakShare, 1e-3);
        }
    }

    [Fact]
    public void Filters_AllNaN_StayNaN()
    {
        float[] picture = new float[6 * 9];
        Array.Fill(picture, float.NaN);
        float[] result = new float[picture.Length];
        GaussianFilter.Smooth<float>(picture, 6, 9, 1.3, Border.Reflect, result);
        Assert.All(result, value => Assert.True(float.IsNaN(value)));
        WindowFilter.Median<float>(picture, 6, 9, 3, Border.Nearest, result);
        Assert.All(result, value => Assert.True(float.IsNaN(value)));
    }

    [Fact]
    public void Filters_ResultOverTheSource_Throws()
    {
        double[] picture = new double[12];
        Assert.Throws<ArgumentException>(() =>
            GaussianFilter.Smooth<double>(picture, 3, 4, 1, Border.Reflect, picture)
        );
        Assert.Throws<ArgumentException>(() =>
            GaussianFilter.Smooth<double>(picture, 3, 5, 1, Border.Reflect, new double[12])
        );
    }

    private static IEnumerable<int> Neighbours(int at, int rows, int columns, StructuringElement element)
    {
        (int row, int column) = (at / columns, at % columns);
        for (int i = -element.Radius; i <= element.Radius; i++)
        {
            int half = element.IsSquare ? element.Radius : (int)Math.Sqrt((element.Radius * element.Radius) - (i * i));
            for (int j = -half; j <= half; j++)
            {
                if (row + i >= 0 && row + i < rows && column + j >= 0 && column + j < columns)
                {
                    yield return ((row + i) * columns) + column + j;
                }
            }
        }
    }

    internal static double[] Picture(int rows, int columns, int seed)
    {
        Random random = new(seed);
        return [.. Enumerable.Range(0, rows * columns).Select(_ => random.NextDouble())];
    }

    private static float[] Single(double[] values) => [.. values.Select(value => (float)value)];

    private static double[] Double(float[] values) => [.. values.Select(value => (double)value)];

    private static void Near(double[] wanted, double[] got, double tolerance)
    {
        for (int at = 0; at < wanted.Length; at++)
        {
            Assert.Equal(wanted[at], got[at], tolerance);
        }
    }
}
