using Xunit;

namespace Hillrow.Rehearsal.Tests;

public sealed class GroundTraceTests
{
    [Fact]
    public void Distance_WithAndWithoutNeighbour_AgreesWithBisection()
    {
        TerrainPosts terrain = SmallEstate.Scene.Terrain;
        GroundTrace trace = new(terrain);
        Random draw = new(3);
        GroundPlane plane = default;
        double worst = 0;
        for (int ray = 0; ray < 4000; ray++)
        {
            float ox = (float)((draw.NextDouble() * 50) - 25);
            float oy = (float)((draw.NextDouble() * 44) - 22);
            const float Oz = 60;
            float dx = (float)((draw.NextDouble() - 0.5) * 0.9);
            float dy = (float)((draw.NextDouble() - 0.5) * 0.9);
            if (ray % 3 == 0)
            {
                // As a new tile starts: nothing known.
                plane = default;
            }

            float got = trace.Distance(ox, oy, Oz, dx, dy, -1, ref plane);
            worst = Math.Max(worst, Math.Abs(got - Plain(terrain, ox, oy, Oz, dx, dy)));
        }

        // 1 mm is a fiftieth of a pixel at the flight's ground sample.
        Assert.True(worst < 1e-3, $"worst {worst} m");
    }

    /// <summary>First crossing found in 5 mm steps, then halved to nothing.</summary>
    private static double Plain(TerrainPosts terrain, double ox, double oy, double oz, double dx, double dy)
    {
        double Gap(double t) => oz - t - terrain.HeightAt(ox + (dx * t), oy + (dy * t));
        double low = Math.Max(0, oz - terrain.HighestMetres - 0.01);
        double high = low;
        while (Gap(high) > 0)
        {
            low = high;
            high += 0.005;
        }

        for (int step = 0; step < 40; step++)
        {
            double middle = 0.5 * (low + high);
            if (Gap(middle) > 0)
            {
                low = middle;
            }
            else
            {
                high = middle;
            }
        }

        return low;
    }
}
