using CsCheck;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Imaging.Tests;

public sealed class LensTests
{
    private const double InversePixels = 1e-9; // what Lens promises

    private static readonly BrownConradyLens Wide = new(
        1088,
        1456,
        new BrownConradyValues(1120, 1121.5, new PixelPoint(728.5, 544.5), -0.321, 0.128, -0.0011, 0.0006, -0.0262)
    );

    private static readonly ResidualGridLens Gridded = new(Wide, WavyGrid(GridInterpolation.Bicubic));

    public static TheoryData<string> Lenses => ["plain", "wide", "bicubic", "bilinear"];

    [Theory]
    [MemberData(nameof(Lenses))]
    public void RayOf_ProjectedBack_IsTheSamePixel(string name)
    {
        Lens lens = Named(name);
        Gen.Select(Gen.Double[0, 1456], Gen.Double[0, 1088])
            .Sample(
                (column, row) =>
                {
                    Vector3D ray = lens.RayOf(new PixelPoint(column, row));
                    Assert.Equal(1, ray.Length, 12);
                    Assert.True(lens.TryProject(ray * 40, out PixelPoint back));
                    Assert.Equal(column, back.Column, InversePixels);
                    Assert.Equal(row, back.Row, InversePixels);
                },
                seed: "0N0XIzNsQ0O2"
            );
    }

    [Theory]
    [MemberData(nameof(Lenses))]
    public void TryProject_Derivatives_MatchCentralDifferences(string name)
    {
        const double step = 1e-6;
        Lens lens = Named(name);
        Vector3D point = new(7.3, -4.9, 31);
        double[] byPoint = new double[6];
        double[] byParameters = new double[2 * lens.Parameters.Count];
        Assert.True(lens.TryProject(point, out PixelPoint pixel, byPoint, byParameters));
        Assert.True(lens.TryProject(point, out PixelPoint plain));
        Assert.Equal(plain, pixel);
        Vector3D[] axes = [new(step, 0, 0), new(0, step, 0), new(0, 0, step)];
        for (int axis = 0; axis < 3; axis++)
        {
            Assert.True(lens.TryProject(point + axes[axis], out PixelPoint after));
            Assert.True(lens.TryProject(point - axes[axis], out PixelPoint before));
            Assert.Equal((after.Column - before.Column) / (2 * step), byPoint[axis], 1e-5);
            Assert.Equal((after.Row - before.Row) / (2 * step), byPoint[3 + axis], 1e-5);
        }

        for (int index = 0; index < lens.Parameters.Count; index++)
        {
            double[] moved = [.. lens.Parameters];
            moved[index] += step;
            Assert.True(lens.WithParameters(moved).TryProject(point, out PixelPoint after));
            moved[index] -= 2 * step;
            Assert.True(lens.WithParameters(moved).TryProject(point, out PixelPoint before));
            Assert.Equal((after.Column - before.Column) / (2 * step), byParameters[index], 1e-4);
            Assert.Equal((after.Row - before.Row) / (2 * step), byParameters[lens.Parameters.Count + index], 1e-4);
        }
    }

    [Fact]
    public void TryProject_BehindTheCamera_IsRefused()
    {
        Assert.False(Wide.TryProject(new Vector3D(1, 1, -30), out _));
        Assert.False(Wide.TryProject(new Vector3D(1, 1, 0), out _));
        Assert.False(Wide.TryProject(new Vector3D(double.NaN, 1, 1), out _));
    }

    [Fact]
    public void TryProject_BeyondTheMonotoneRange_IsRefusedThoughThePolynomialFoldsBackIntoTheFrame()
    {
        // Barrel distortion alone: r(1 − 0.3 r²) turns at r = 1.054 and comes back through 0 at r = 1.826.
        BrownConradyLens lens = new(1000, 1000, new BrownConradyValues(1100, 1100, new PixelPoint(500, 500), K1: -0.3));
        Assert.Equal(Math.Sqrt(1 / 0.9), lens.MonotoneRadius, 12);
        Assert.True(lens.TryProject(new Vector3D(1.05, 0, 1), out _));
        Assert.False(lens.TryProject(new Vector3D(1.06, 0, 1), out _));
        Assert.False(lens.TryProject(new Vector3D(1.8, 0, 1), out _));
    }

    [Fact]
    public void RayOf_OutsideTheInvertibleRange_Throws()
    {
        BrownConradyLens lens = new(1000, 1000, new BrownConradyValues(1100, 1100, new PixelPoint(500, 500), K1: -0.3));
        Assert.Throws<ArgumentOutOfRangeException>(() => lens.RayOf(new PixelPoint(5000, 500)));
    }

    [Fact]
    public void Constructor_ModelThatFoldsInsideTheFrame_Throws()
    {
        ArgumentException thrown = Assert.Throws<ArgumentException>(() =>
            new BrownConradyLens(1000, 1000, new BrownConradyValues(500, 500, new PixelPoint(500, 500), K1: -0.3))
        );
        Assert.Contains("folds", thrown.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void MonotoneRadiusSquared_AnyPolynomial_IsTheFirstTurnOfADenseScan()
    {
        Gen.Select(Gen.Double[-0.6, 0.6], Gen.Double[-0.5, 0.5], Gen.Double[-0.3, 0.3])
            .Sample(
                (k1, k2, k3) =>
                {
                    double limit = RadialDistortion.MonotoneRadiusSquared(k1, k2, k3);
                    double scanned = double.PositiveInfinity;
                    for (double s = 0; s < 20; s += 0.001)
                    {
                        if (1 + (s * ((3 * k1) + (s * ((5 * k2) + (s * 7 * k3))))) <= 0)
                        {
                            scanned = s;
                            break;
                        }
                    }

                    if (double.IsFinite(scanned))
                    {
                        Assert.InRange(limit, scanned - 0.0011, scanned + 1e-9);
                    }
                    else
                    {
                        Assert.True(limit > 19.99);
                    }
                },
                seed: "0N0XIzNsQ0O2",
                iter: 200
            );
    }

    [Fact]
    public void ResidualGridLens_GridInTheWrongUnit_IsRefused()
    {
        double[] offsets = [0, 0, 0, 400];
        Assert.Throws<ArgumentException>(() =>
            new ResidualGridLens(Wide, new ResidualGrid(2, 2, offsets, offsets, GridInterpolation.Bilinear))
        );
    }

    [Fact]
    public void ResidualGridLens_NodeOffsets_AreAddedAtTheNodes()
    {
        ResidualGrid grid = WavyGrid(GridInterpolation.Bicubic);
        ResidualGridLens lens = new(Wide, grid);
        PixelPoint node = new(3 * 1456 / 8.0, 2 * 1088 / 6.0);
        Assert.True(lens.TryProject(Wide.RayOf(node), out PixelPoint moved));
        Assert.Equal(node.Column + grid.ColumnOffsetsPixels[(2 * 9) + 3], moved.Column, 8);
        Assert.Equal(node.Row + grid.RowOffsetsPixels[(2 * 9) + 3], moved.Row, 8);
    }

    [Fact]
    public void PoseOfBand_MountedLens_SeesWhatTheMountSays()
    {
        CameraMount mount = new(
            Matrix3D.FromRotationVector(new Vector3D(0.01, -0.02, 0.005)),
            new Vector3D(0.03, -0.015, 0.002)
        );
        CameraPose reference = CameraPose.FromAttitude(new Vector3D(3, 4, 50), Attitude.FromDegrees(200, 4, -7));
        Vector3D point = new(10, -3, 1.5);
        Vector3D throughReference = mount.ToBand(reference.ToCamera(point));
        Vector3D direct = mount.PoseOfBand(reference).ToCamera(point);
        Assert.Equal(0, (throughReference - direct).Length, 12);
        Assert.Equal(0, (mount.ToReference(throughReference) - reference.ToCamera(point)).Length, 12);
    }

    [Theory]
    [InlineData(10, 90, 0)]
    [InlineData(250, -90, 0)]
    [InlineData(40, 89.9999, 12)]
    [InlineData(359, 3, -179)]
    public void FromEnuToCamera_AnyAttitude_GivesTheSameRotation(double yaw, double pitch, double roll)
    {
        Matrix3D rotation = Attitude.FromDegrees(yaw, pitch, roll).EnuToCamera();
        Matrix3D back = Attitude.FromEnuToCamera(rotation).EnuToCamera();
        Matrix3D angles = OmegaPhiKappa.FromEnuToCamera(rotation).EnuToCamera();
        Assert.Equal(0, (back.Row1 - rotation.Row1).Length + (back.Row2 - rotation.Row2).Length, 7);
        Assert.Equal(0, (angles.Row1 - rotation.Row1).Length + (angles.Row2 - rotation.Row2).Length, 7);
    }

    private static Lens Named(string name) =>
        name switch
        {
            "plain" => new BrownConradyLens(1088, 1456, new BrownConradyValues(1500, 1500, new PixelPoint(728, 544))),
            "wide" => Wide,
            "bicubic" => Gridded,
            _ => new ResidualGridLens(Wide, WavyGrid(GridInterpolation.Bilinear)),
        };

    private static ResidualGrid WavyGrid(GridInterpolation interpolation)
    {
        double[] columns = new double[7 * 9];
        double[] rows = new double[7 * 9];
        for (int node = 0; node < columns.Length; node++)
        {
            columns[node] = 0.8 * Math.Sin(node * 0.7);
            rows[node] = 0.6 * Math.Cos(node * 1.1);
        }

        return new ResidualGrid(7, 9, columns, rows, interpolation);
    }
}
