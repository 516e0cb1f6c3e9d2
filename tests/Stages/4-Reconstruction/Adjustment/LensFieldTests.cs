using Hillrow.Checks;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Reconstruction.Tests;

/// <summary>What a lens's polynomial leaves over is found where it is, and not invented where it is not.</summary>
public sealed class LensFieldTests
{
    private const int Rows = 1100;
    private const int Columns = 1500;

    [Fact]
    public void Solve_SmoothField_IsFoundThroughNoise()
    {
        ResidualGrid? grid = Fit(8000, Waves, noise: 0.4, seed: 1);
        Assert.NotNull(grid);
        Assert.True(
            RmsOff(grid, Waves) < 0.06,
            $"{RmsOff(grid, Waves):0.000} px off, of {RmsOff(Flat(), Waves):0.000} px"
        );
    }

    [Fact]
    public void Solve_NoiseAlone_GivesNextToNothing()
    {
        for (ulong seed = 1; seed <= 5; seed++)
        {
            ResidualGrid grid = Fit(8000, (_, _) => (0, 0), noise: 0.4, seed) ?? Flat();
            Assert.True(
                RmsOff(grid, (_, _) => (0, 0)) < 0.06,
                $"seed {seed}: {RmsOff(grid, (_, _) => (0, 0)):0.000} px"
            );
        }
    }

    [Fact]
    public void Solve_FewSights_GivesNone() => Assert.Null(Fit(300, Waves, noise: 0.4, seed: 2));

    [Fact]
    public void Solve_HalvesThatContradict_GivesNone()
    {
        LensField field = new(Rows, Columns);
        SplittableRandom draw = new(3);
        for (int sight = 0; sight < 8000; sight++)
        {
            PixelPoint at = new(Columns * draw.NextDouble(), Rows * draw.NextDouble());
            (double column, double row) = Waves(at.Column, at.Row);
            int sign = sight % 2 == 0 ? 1 : -1;
            field.Add(sight, at, new PixelPoint(at.Column + (sign * column), at.Row + (sign * row)), 0.5);
        }

        Assert.Null(field.Solve());
    }

    [Theory]
    [InlineData(0.25, 0.1)]
    [InlineData(0, 0.08)]
    public void Run_LensThatNoPolynomialFollows_IsFoundFromTheFlightItself(double residuePixels, double mostOff)
    {
        SimulatedFlight flight = new(
            new SimulatedFlightSettings
            {
                Seed = 21,
                Lines = 4,
                PerLine = 9,
                LensResiduePixels = residuePixels,
            }
        );
        ReconstructionResult found = ReconstructionStage.Run(
            flight.Input,
            new ReconstructionSettings { MeasureSurface = false }
        );
        double off = LensOff(found.Geometry!.Bands[0].Lens, flight.TrueLens);
        Assert.True(off < mostOff, $"{off:0.000} px");
    }

    /// <summary>Root mean square between two lenses over the frame, less what a turn or a longer focal length would do.</summary>
    private static double LensOff(Lens found, Lens truth)
    {
        List<double[]> design = [];
        List<double> off = [];
        for (int row = 20; row < truth.Rows; row += 40)
        {
            for (int column = 20; column < truth.Columns; column += 40)
            {
                Vector3D ray = truth.RayOf(new PixelPoint(column, row));
                Assert.True(found.TryProject(ray, out PixelPoint pixel));
                (double x, double y) = (ray.X / ray.Z, ray.Y / ray.Z);
                design.Add([1 + (x * x), x * y, -y, x]);
                off.Add(pixel.Column - column);
                design.Add([x * y, 1 + (y * y), x, y]);
                off.Add(pixel.Row - row);
            }
        }

        var fit = Hillrow.Numerics.Regression.LinearRegression.Fit([.. design.SelectMany(row => row)], 4, [.. off]);
        return Math.Sqrt(2 * fit.Residuals.Average(value => value * value));
    }

    private static ResidualGrid? Fit(
        int sights,
        Func<double, double, (double Column, double Row)> truth,
        double noise,
        ulong seed
    )
    {
        LensField field = new(Rows, Columns);
        SplittableRandom draw = new(seed);
        for (int sight = 0; sight < sights; sight++)
        {
            PixelPoint at = new(Columns * draw.NextDouble(), Rows * draw.NextDouble());
            (double column, double row) = truth(at.Column, at.Row);
            field.Add(
                sight % 20,
                at,
                new PixelPoint(
                    at.Column + column + (noise * draw.NextGaussian()),
                    at.Row + row + (noise * draw.NextGaussian())
                ),
                0.5
            );
        }

        return field.Solve();
    }

    private static (double Column, double Row) Waves(double column, double row) =>
        (
            0.25 * Math.Cos(2 * Math.PI * column / Columns) * Math.Cos(Math.PI * row / Rows),
            0.2 * Math.Cos(3 * Math.PI * row / Rows)
        );

    private static ResidualGrid Flat() => new(2, 2, new double[4], new double[4], GridInterpolation.Bilinear);

    private static double RmsOff(ResidualGrid grid, Func<double, double, (double Column, double Row)> truth)
    {
        BrownConradyLens plain = new(
            Rows,
            Columns,
            new BrownConradyValues(1500, 1500, new PixelPoint(Columns / 2.0, Rows / 2.0))
        );
        ResidualGridLens overlaid = new(plain, grid);
        double squares = 0;
        int count = 0;
        for (int row = 10; row < Rows; row += 20)
        {
            for (int column = 10; column < Columns; column += 20)
            {
                Assert.True(overlaid.TryProject(plain.RayOf(new PixelPoint(column, row)), out PixelPoint pixel));
                (double c, double r) = truth(column, row);
                squares += Math.Pow(pixel.Column - column - c, 2) + Math.Pow(pixel.Row - row - r, 2);
                count++;
            }
        }

        return Math.Sqrt(squares / count);
    }
}
