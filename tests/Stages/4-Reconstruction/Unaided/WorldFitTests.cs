using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Reconstruction.Tests;

public sealed class WorldFitTests
{
    [Fact]
    public void Of_TurnedScaledAndShifted_FindsTheMove()
    {
        SplittableRandom draw = new(3);
        Matrix3D turn = Matrix3D.FromRotationVector(new Vector3D(0.4, -2.1, 1.3));
        Vector3D shift = new(300, -40, 7);
        List<(Vector3D, Vector3D, double)> pairs = [];
        for (int index = 0; index < 8; index++)
        {
            Vector3D from = new(draw.NextGaussian(), 3 * draw.NextGaussian(), 0.1 * draw.NextGaussian());
            pairs.Add((from, shift + (17 * (turn * from)), 1 + draw.NextDouble()));
        }

        SimilarityMove move = WorldFit.Of(pairs)!;
        Assert.Equal(17, move.Scale, 9);
        foreach ((Vector3D from, Vector3D to, _) in pairs)
        {
            Assert.True((move.Of(from) - to).Length < 1e-9);
        }
    }

    [Fact]
    public void Of_PlacesInLine_IsNull() =>
        Assert.Null(
            WorldFit.Of([
                (new Vector3D(0, 0, 0), new Vector3D(0, 0, 0), 1),
                (new Vector3D(1, 0, 0), new Vector3D(0, 2, 0), 1),
                (new Vector3D(5, 0, 0), new Vector3D(0, 10, 0), 1),
            ])
        );
}
