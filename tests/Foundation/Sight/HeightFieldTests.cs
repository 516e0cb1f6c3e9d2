using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Sight.Tests;

public sealed class HeightFieldTests
{
    /// <summary>The exact patch intersection against a 1 mm march: half a step, plus the slope's share.</summary>
    private const double MarchToleranceMetres = 2e-3;

    [Fact]
    public void TryHit_PlaneStraightDown_HitsAtItsHeight()
    {
        HeightField field = Sample(20, 30, 1.0, (x, y) => (0.3 * x) - (0.2 * y));
        Assert.True(field.TryHit(new Vector3D(7.3, -4.6, 100), new Vector3D(0, 0, -1), 0, 1000, out double distance));
        Assert.Equal(100 - ((0.3 * 7.3) + (0.2 * 4.6)), distance, 5);
    }

    [Fact]
    public void TryHit_SlantedRayOnPlane_HitsWherePlaneEquationSays()
    {
        HeightField field = Sample(64, 64, 2.0, (x, y) => 0.25 * x);
        Vector3D origin = new(10, -60, 80);
        Vector3D direction = new Vector3D(0.4, 0.1, -1).Normalized();
        // z0 + dz t = 0.25 (x0 + dx t)
        double wanted = ((0.25 * origin.X) - origin.Z) / (direction.Z - (0.25 * direction.X));
        Assert.True(field.TryHit(origin, direction, 0, 1e4, out double distance));
        Assert.Equal(wanted, distance, 4);
    }

    [Fact]
    public void TryHit_RoughGround_AgreesWithFineMarch()
    {
        SplittableRandom random = new(11);
        HeightField field = Rough(random.Split("ground"), 41, 37, 1.5);
        SplittableRandom rays = random.Split("rays");
        int hits = 0;
        for (int ray = 0; ray < 400; ray++)
        {
            Vector3D origin = new(
                rays.NextDouble(-5, field.EastMetres + 5),
                rays.NextDouble(field.SouthMetres - 5, 5),
                rays.NextDouble(6, 40)
            );
            Vector3D direction = new Vector3D(
                rays.NextDouble(-1, 1),
                rays.NextDouble(-1, 1),
                rays.NextDouble(-1, -0.05)
            ).Normalized();
            double marched = March(field, origin, direction, 150);
            bool hit = field.TryHit(origin, direction, 0, 150, out double distance);
            Assert.Equal(double.IsFinite(marched), hit);
            if (hit)
            {
                hits++;
                Assert.InRange(distance, marched - MarchToleranceMetres, marched + MarchToleranceMetres);
            }
        }

        Assert.True(hits > 100, $"only {hits} rays hit: the test sees too little");
    }

    [Fact]
    public void TryHit_Void_LetsTheRayThrough()
    {
        HeightField field = Sample(10, 10, 1.0, (x, y) => x is > 3 and < 6 ? double.NaN : 1);
        Assert.False(field.TryHit(new Vector3D(4.5, -4.5, 10), new Vector3D(0, 0, -1), 0, 100, out _));
        Assert.True(field.TryHit(new Vector3D(1.5, -4.5, 10), new Vector3D(0, 0, -1), 0, 100, out _));
        Assert.True(double.IsNaN(field.HeightAt(4.5, -4.5)));
    }

    [Fact]
    public void Sees_RidgeBetween_IsFalseAndClearOverIt()
    {
        HeightField field = Sample(50, 50, 2.0, (x, y) => Math.Abs(x - 50) < 4 ? 30 : 0);
        Vector3D start = new(10, -50, 1);
        Assert.False(field.Sees(start, new Vector3D(90, -50, 1)));
        Assert.True(field.Sees(start, new Vector3D(90, -50, 120)));
        Assert.True(field.Sees(start, new Vector3D(40, -50, 1)));
    }

    [Fact]
    public void Constructor_WrongCount_NamesBoth()
    {
        ArgumentException problem = Assert.Throws<ArgumentException>(() =>
            new HeightField(0, 0, 1, 3, 4, new float[11])
        );
        Assert.Contains("11", problem.Message, StringComparison.Ordinal);
        Assert.Contains("3 × 4", problem.Message, StringComparison.Ordinal);
    }

    private static HeightField Sample(int rows, int columns, double cell, Func<double, double, double> height)
    {
        float[] posts = new float[rows * columns];
        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                posts[(row * columns) + column] = (float)height(column * cell, -row * cell);
            }
        }

        return new HeightField(0, 0, cell, rows, columns, posts);
    }

    private static HeightField Rough(SplittableRandom random, int rows, int columns, double cell)
    {
        float[] posts = new float[rows * columns];
        for (int at = 0; at < posts.Length; at++)
        {
            posts[at] = (float)random.NextDouble(0, 5);
        }

        return new HeightField(0, 0, cell, rows, columns, posts);
    }

    /// <summary>The plain twin: walk in 1 mm steps until below the bilinear height.</summary>
    private static double March(HeightField field, Vector3D origin, Vector3D direction, double reach)
    {
        for (double t = 0; t < reach; t += 1e-3)
        {
            Vector3D place = origin + (direction * t);
            if (place.Z > 5.001)
            {
                continue;
            }

            double height = field.HeightAt(place.X, place.Y);
            if (place.Z <= height)
            {
                return t;
            }
        }

        return double.NaN;
    }

    [Theory]
    [InlineData(-1e-16)]
    [InlineData(-1e-12)]
    [InlineData(1e-16)]
    public void Sees_AlongABorderOfCells_Ends(double lean)
    {
        HeightField field = new(0, 100, 10, 11, 11, new float[121]);
        Vector3D eye = new(50, 50, 2);
        Assert.True(field.Sees(eye, new Vector3D(50 + (40 * lean), 90, 5)));
        Assert.True(field.Sees(eye, new Vector3D(10, 50 + (40 * lean), 5)));
        Assert.False(field.Sees(eye, new Vector3D(50 + (40 * lean), 90, -5)));
    }
}
