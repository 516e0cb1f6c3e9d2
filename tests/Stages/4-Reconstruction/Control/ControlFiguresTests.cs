using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Reconstruction.Tests;

public sealed class ControlFiguresTests
{
    [Fact]
    public void AcrossShareOf_LinesAndRings_TellsThemApart()
    {
        Vector3D[] line = [.. Enumerable.Range(0, 4).Select(at => new Vector3D(10 * at, 20 * at, at))];
        Assert.Equal(0, ControlFigures.AcrossShareOf(line), 1e-6);
        Vector3D[] ring =
        [
            .. Enumerable
                .Range(0, 8)
                .Select(at => new Vector3D(30 * Math.Cos(at * Math.PI / 4), 30 * Math.Sin(at * Math.PI / 4), 0)),
        ];
        Assert.Equal(1, ControlFigures.AcrossShareOf(ring), 1e-6);
        Assert.True(double.IsNaN(ControlFigures.AcrossShareOf(line[..2])));
    }

    [Theory]
    [InlineData(0.05, true)]
    [InlineData(0.6, false)]
    [InlineData(double.NaN, false)]
    public void Statement_PointsInALine_SaysThatHeightsMayTilt(double share, bool warned)
    {
        ControlFigures figures = new() { ControlPoints = 3, ControlAcrossShare = share };
        Assert.Equal(warned, figures.Statement.Contains("nearly in a line", StringComparison.Ordinal));
    }
}
