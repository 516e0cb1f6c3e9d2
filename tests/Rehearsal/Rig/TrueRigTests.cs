using Hillrow.Imaging;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Rehearsal.Tests;

public sealed class TrueRigTests
{
    [Fact]
    public void Ray_OfProjectedDirection_ReturnsIt()
    {
        foreach (RigLens lens in TrueRig.Build(3).Lenses)
        {
            for (double column = 0; column <= TrueRig.Columns; column += 191.7)
            {
                for (double row = 0; row <= TrueRig.Rows; row += 143.3)
                {
                    PixelPoint back = lens.Lens.Project(lens.Lens.Ray(column, row) * 55);
                    Assert.Equal(column, back.Column, 1e-6);
                    Assert.Equal(row, back.Row, 1e-6);
                }
            }
        }
    }

    [Fact]
    public void Build_AnySeed_ResidualIsSmallButThere()
    {
        TrueRig rig = TrueRig.Build(11);
        foreach (RigLens lens in rig.Lenses)
        {
            double sum = 0;
            int count = 0;
            for (int column = 8; column < TrueRig.Columns; column += 16)
            {
                for (int row = 8; row < TrueRig.Rows; row += 16)
                {
                    (double columns, double rows) = lens.Lens.Residual!.At(column, row);
                    sum += (columns * columns) + (rows * rows);
                    count++;
                }
            }

            // Asked for 0.22 px; low-order sums over the picture differ from their mean by some per cent.
            Assert.InRange(Math.Sqrt(sum / count), 0.19, 0.25);
        }
    }

    [Theory]
    [InlineData(0, 0, 0, 1, 0, 0)]
    [InlineData(90, 0, 0, 0, -1, 0)]
    [InlineData(0, 0, 90, 0, 0, -1)]
    public void RigToLocal_RightAxis_PointsWhereTheRightWingDoes(
        double yaw,
        double pitch,
        double roll,
        double east,
        double north,
        double up
    )
    {
        Vector3D right = new RigPose(Vector3D.Zero, yaw, pitch, roll).RigToLocal() * new Vector3D(1, 0, 0);
        Assert.Equal(east, right.X, 1e-12);
        Assert.Equal(north, right.Y, 1e-12);
        Assert.Equal(up, right.Z, 1e-12);
    }

    [Fact]
    public void RigToLocal_NoseUp_LooksForward()
    {
        // With the nose up, the downward camera looks ahead: towards north at yaw 0.
        Vector3D view = new RigPose(Vector3D.Zero, 0, 10, 0).RigToLocal() * new Vector3D(0, 0, 1);
        Assert.Equal(Math.Sin(10 * Math.PI / 180), view.Y, 1e-12);
        Assert.Equal(-Math.Cos(10 * Math.PI / 180), view.Z, 1e-12);
    }
}
