using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Validation.Planning;

/// <summary>Real steep terrain: 10 m posts of southern Ecuador (open data, band 4 holds heights).</summary>
internal sealed class AndesGround
{
    private const double PostMetres = 10;

    private readonly float[] heights;
    private readonly int rows;
    private readonly int columns;

    private AndesGround(float[] heights, int rows, int columns)
    {
        this.heights = heights;
        this.rows = rows;
        this.columns = columns;
    }

    public static AndesGround Read(string file)
    {
        using RasterFile raster = RasterFile.Open(file);
        float[] read = new float[raster.Rows * raster.Columns];
        raster.ReadTrueValues(0, 3, new RasterWindow(0, 0, raster.Rows, raster.Columns), read);
        return new AndesGround(read, raster.Rows, raster.Columns);
    }

    /// <summary>
    /// A site without voids whose middle 300 m fall by no more than 60 % on average: steeper land grows no crop that is
    /// looked at from the air, and coffee stands on up to 40 %.
    /// </summary>
    public TrueGround Site(double halfMetres, double canopyMetres, SplittableRandom random)
    {
        int reach = (int)Math.Ceiling(halfMetres / PostMetres) + 2;
        for (int tries = 0; tries < 10_000; tries++)
        {
            int row = reach + random.NextInt32(rows - (2 * reach));
            int column = reach + random.NextInt32(columns - (2 * reach));
            if (Complete(row, column, reach) && MeanSlope(row, column, 15) <= 0.6)
            {
                double middle = heights[(row * columns) + column];
                return TrueGround.Given(
                    halfMetres,
                    (east, north) => At(column + (east / PostMetres), row - (north / PostMetres)) - middle,
                    canopyMetres,
                    random
                );
            }
        }

        throw new InvalidDataException("No site without voids was found in the open terrain.");
    }

    private bool Complete(int row, int column, int reach)
    {
        for (int r = row - reach; r <= row + reach; r++)
        {
            for (int c = column - reach; c <= column + reach; c++)
            {
                if (!(heights[(r * columns) + c] is > 0 and < 9000))
                {
                    return false;
                }
            }
        }

        return true;
    }

    private double MeanSlope(int row, int column, int reach)
    {
        double sum = 0;
        int count = 0;
        for (int r = row - reach; r <= row + reach; r++)
        {
            for (int c = column - reach; c <= column + reach; c++)
            {
                double east = heights[(r * columns) + c + 1] - heights[(r * columns) + c - 1];
                double north = heights[((r + 1) * columns) + c] - heights[((r - 1) * columns) + c];
                sum += Math.Sqrt((east * east) + (north * north)) / (2 * PostMetres);
                count++;
            }
        }

        return sum / count;
    }

    private double At(double column, double row)
    {
        int c = (int)Math.Floor(column);
        int r = (int)Math.Floor(row);
        double u = column - c;
        double v = row - r;
        int at = (r * columns) + c;
        return ((1 - v) * (((1 - u) * heights[at]) + (u * heights[at + 1])))
            + (v * (((1 - u) * heights[at + columns]) + (u * heights[at + columns + 1])));
    }
}
