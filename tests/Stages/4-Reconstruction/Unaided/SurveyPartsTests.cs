using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Reconstruction.Tests;

public sealed class SurveyPartsTests
{
    [Fact]
    public void Of_TwoGroupsAndALoneOne_LargestFirstAndLoneMarked()
    {
        List<TiePoint> points = [];
        for (int index = 0; index < 20; index++)
        {
            points.Add(Seen(0, 1));
            points.Add(Seen(2, 3, 5));
        }

        // A few chance ties join nothing.
        points.Add(Seen(1, 2));
        points.Add(Seen(4, 5));
        Assert.Equal([1, 1, 0, 0, -1, 0], SurveyParts.Of(points, 6));
    }

    private static TiePoint Seen(params int[] captures) =>
        new(Vector3D.Zero, [.. captures.Select(capture => new Sighting(capture, 0, default, 1))]);
}
