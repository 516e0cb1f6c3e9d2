using Hillrow.Numerics;

namespace Hillrow.Validation.Planning;

/// <summary>
/// A true site: ground and canopy on 2 m cells around the origin, and the coarse, wrong posts that a planner gets to see.
/// Plain code of its own: it shares nothing with the planner.
/// </summary>
public sealed class TrueGround
{
    public const double CellMetres = 2;

    private readonly float[] ground;
    private readonly float[] tops;
    private readonly int size;

    private TrueGround(
        double halfMetres,
        Func<double, double, double> height,
        double canopyMetres,
        SplittableRandom random
    )
    {
        HalfMetres = halfMetres;
        size = (int)Math.Round(2 * halfMetres / CellMetres) + 1;
        ground = new float[size * size];
        tops = new float[size * size];
        Noise crowns = new(random.Split("crowns"), 2.7);
        for (int row = 0; row < size; row++)
        {
            for (int column = 0; column < size; column++)
            {
                double east = -halfMetres + (column * CellMetres);
                double north = -halfMetres + (row * CellMetres);
                double here = height(east, north);
                ground[(row * size) + column] = (float)here;
                // Crowns and gaps: from nothing to the full canopy within a few metres.
                double canopy = canopyMetres * Math.Clamp(0.55 + (0.9 * crowns.At(east, north)), 0, 1);
                tops[(row * size) + column] = (float)(here + canopy);
            }
        }
    }

    public double HalfMetres { get; }

    /// <summary>A hillside: mean fall of 15–40 %, ridges and gullies of 15 m, humps of 2 m.</summary>
    public static TrueGround Hillside(double halfMetres, double canopyMetres, SplittableRandom random)
    {
        ArgumentNullException.ThrowIfNull(random);
        double fall = random.NextDouble(0.15, 0.4);
        double towards = random.NextDouble(0, Math.Tau);
        Noise ridges = new(random.Split("ridges"), 180);
        Noise humps = new(random.Split("humps"), 35);
        return new TrueGround(
            halfMetres,
            (east, north) =>
                (fall * ((east * Math.Sin(towards)) + (north * Math.Cos(towards))))
                + (15 * ridges.At(east, north))
                + (2 * humps.At(east, north)),
            canopyMetres,
            random
        );
    }

    /// <summary>Ground given elsewhere, with humps of 1 m that the source is too coarse to hold.</summary>
    public static TrueGround Given(
        double halfMetres,
        Func<double, double, double> height,
        double canopyMetres,
        SplittableRandom random
    )
    {
        ArgumentNullException.ThrowIfNull(random);
        ArgumentNullException.ThrowIfNull(height);
        Noise humps = new(random.Split("humps"), 15);
        return new TrueGround(
            halfMetres,
            (east, north) => height(east, north) + humps.At(east, north),
            canopyMetres,
            random
        );
    }

    public double GroundAt(double east, double north) => Bilinear(ground, east, north);

    /// <summary>Top of the canopy.</summary>
    public double TopAt(double east, double north) => Bilinear(tops, east, north);

    /// <summary>What a planner gets: posts every 30 m with an error, smoothly interpolated to posts every 10 m.</summary>
    public float[] Draft(
        double postMetres,
        double sigmaMetres,
        SplittableRandom random,
        double outMetres,
        out int outSize
    )
    {
        ArgumentNullException.ThrowIfNull(random);
        int posts = (int)Math.Floor(2 * HalfMetres / postMetres) + 1;
        double common = Math.Sqrt(0.3) * sigmaMetres * random.NextGaussian();
        Noise slow = new(random.Split("slow"), 150);
        // Smooth lattice noise of unit amplitude has about this standard deviation.
        const double NoiseSigma = 0.42;
        double[] coarse = new double[posts * posts];
        for (int row = 0; row < posts; row++)
        {
            for (int column = 0; column < posts; column++)
            {
                double east = -HalfMetres + (column * postMetres);
                double north = -HalfMetres + (row * postMetres);
                coarse[(row * posts) + column] =
                    GroundAt(east, north)
                    + common
                    + (Math.Sqrt(0.5) * sigmaMetres * slow.At(east, north) / NoiseSigma)
                    + (Math.Sqrt(0.2) * sigmaMetres * random.NextGaussian());
            }
        }

        outSize = (int)Math.Floor((posts - 1) * postMetres / outMetres) + 1;
        float[] result = new float[outSize * outSize];
        for (int row = 0; row < outSize; row++)
        {
            for (int column = 0; column < outSize; column++)
            {
                // Row 0 of a height field lies in the north.
                double y = ((outSize - 1 - row) * outMetres) / postMetres;
                double x = column * outMetres / postMetres;
                result[(row * outSize) + column] = (float)Cubic(coarse, posts, x, y);
            }
        }

        return result;
    }

    private double Bilinear(float[] grid, double east, double north)
    {
        double x = Math.Clamp((east + HalfMetres) / CellMetres, 0, size - 1.001);
        double y = Math.Clamp((north + HalfMetres) / CellMetres, 0, size - 1.001);
        int column = (int)x;
        int row = (int)y;
        double u = x - column;
        double v = y - row;
        int at = (row * size) + column;
        return ((1 - v) * (((1 - u) * grid[at]) + (u * grid[at + 1])))
            + (v * (((1 - u) * grid[at + size]) + (u * grid[at + size + 1])));
    }

    /// <summary>Catmull–Rom in both directions, clamped at the border.</summary>
    private static double Cubic(double[] posts, int size, double x, double y)
    {
        int column = Math.Clamp((int)Math.Floor(x), 0, size - 2);
        int row = Math.Clamp((int)Math.Floor(y), 0, size - 2);
        double Post(int r, int c) => posts[(Math.Clamp(r, 0, size - 1) * size) + Math.Clamp(c, 0, size - 1)];
        static double Four(double a, double b, double c, double d, double t) =>
            b + (0.5 * t * (c - a + (t * ((2 * a) - (5 * b) + (4 * c) - d + (t * ((3 * (b - c)) + d - a))))));
        double u = x - column;
        double v = y - row;
        double Along(int r) => Four(Post(r, column - 1), Post(r, column), Post(r, column + 1), Post(r, column + 2), u);
        return Four(Along(row - 1), Along(row), Along(row + 1), Along(row + 2), v);
    }

    /// <summary>Smooth noise about −1 … 1 on a lattice of random values.</summary>
    private sealed class Noise(SplittableRandom random, double lengthMetres)
    {
        private const int Side = 256;

        private readonly double[] lattice = [.. Enumerable.Range(0, Side * Side).Select(_ => random.NextDouble(-1, 1))];

        public double At(double east, double north)
        {
            double x = (east / lengthMetres) + 1000.5;
            double y = (north / lengthMetres) + 1000.5;
            int column = (int)Math.Floor(x);
            int row = (int)Math.Floor(y);
            double u = Smooth(x - column);
            double v = Smooth(y - row);
            double Value(int r, int c) => lattice[((r & (Side - 1)) * Side) + (c & (Side - 1))];
            double low = Value(row, column) + ((Value(row, column + 1) - Value(row, column)) * u);
            double high = Value(row + 1, column) + ((Value(row + 1, column + 1) - Value(row + 1, column)) * u);
            return low + ((high - low) * v);
        }

        private static double Smooth(double t) => t * t * (3 - (2 * t));
    }
}
