using Xunit;

namespace Hillrow.Rehearsal.Tests;

public sealed unsafe class CellTraceTests
{
    private static readonly SceneExtent Extent = new(-4, -3, 8, 6.4);

    [Fact]
    public void First_RandomRays_AgreeWithThePlainTwin()
    {
        TerrainPosts terrain = new(Extent, 0.1);
        for (int index = 0; index < terrain.Posts.Length; index++)
        {
            terrain.Posts[index] = 0.25f * (index % terrain.Columns) * 0.1f;
        }

        terrain.Measure();
        CellLayer layer = new(Extent, terrain, 0.1, 0.06);
        Random draw = new(17);
        for (int index = 0; index < layer.CellCount; index++)
        {
            layer.Filled[index] = draw.NextDouble() < 0.6 ? (1UL << draw.Next(64)) | (1UL << draw.Next(20)) : 0;
        }

        layer.Measure();
        int hits = 0;
        for (int ray = 0; ray < 3000; ray++)
        {
            float ox = (float)((draw.NextDouble() * 10) - 5);
            float oy = (float)((draw.NextDouble() * 9) - 4.5);
            bool down = ray % 3 != 0;
            float oz = down ? 8 : -1;
            float dx = (float)((draw.NextDouble() - 0.5) * 1.6);
            float dy = (float)((draw.NextDouble() - 0.5) * 1.6);
            float dz = down ? -1 : 1;
            CellHit hit = default;
            bool found = CellTrace.First(layer, ox, oy, oz, dx, dy, dz, 0, 12, ref hit);
            (double distance, int index, int level) = Plain(layer, ox, oy, oz, dx, dy, dz, 12);
            if (found != (index >= 0) || (found && (hit.Index != index || hit.Level != level)))
            {
                // Rays that graze an edge may go either way; both ends must then nearly touch.
                double got = found ? hit.Distance : 99;
                Assert.True(Grazes(layer, ox, oy, oz, dx, dy, dz, Math.Min(got, distance)), $"ray {ray}");
                continue;
            }

            if (found)
            {
                hits++;
                Assert.Equal(distance, hit.Distance, 2e-4);
            }
        }

        Assert.True(hits > 1000);
    }

    /// <summary>Every filled level as a box, tested one by one.</summary>
    private static (double Distance, int Index, int Level) Plain(
        CellLayer layer,
        double ox,
        double oy,
        double oz,
        double dx,
        double dy,
        double dz,
        double until
    )
    {
        (double best, int bestIndex, int bestLevel) = (double.MaxValue, -1, -1);
        for (int row = 0; row < layer.CellRows; row++)
        {
            for (int column = 0; column < layer.CellColumns; column++)
            {
                int index = layer.IndexOf(column, row);
                ulong left = layer.Filled[index];
                if (left == 0)
                {
                    continue;
                }

                double west = layer.Extent.WestMetres + (column * (double)layer.CellMetres);
                double south = layer.Extent.SouthMetres + (row * (double)layer.CellMetres);
                (double fromX, double toX) = Slab(ox, dx, west, west + layer.CellMetres);
                (double fromY, double toY) = Slab(oy, dy, south, south + layer.CellMetres);
                double from = Math.Max(0, Math.Max(fromX, fromY));
                double to = Math.Min(until, Math.Min(toX, toY));
                if (from >= to)
                {
                    continue;
                }

                for (int level = 0; level < 64; level++)
                {
                    if (((left >> level) & 1) == 0)
                    {
                        continue;
                    }

                    double bottom = layer.Blocks[index >> 6].Base + (level * (double)layer.LevelMetres);
                    (double fromZ, double toZ) = Slab(oz, dz, bottom, bottom + layer.LevelMetres);
                    double enter = Math.Max(from, fromZ);
                    if (enter < Math.Min(to, toZ) && enter < best)
                    {
                        (best, bestIndex, bestLevel) = (enter, index, level);
                    }
                }
            }
        }

        return (best, bestIndex, bestLevel);
    }

    private static bool Grazes(
        CellLayer layer,
        double ox,
        double oy,
        double oz,
        double dx,
        double dy,
        double dz,
        double at
    )
    {
        // A shift of a hundredth of a millimetre either way changes what is hit first.
        int different = 0;
        (double first, int index, int level) = Plain(layer, ox, oy, oz, dx, dy, dz, 12);
        foreach ((double sx, double sy) in new[] { (1e-5, 0), (-1e-5, 0), (0, 1e-5), (0.0, -1e-5) })
        {
            (double distance, int other, int otherLevel) = Plain(layer, ox + sx, oy + sy, oz, dx, dy, dz, 12);
            different += other != index || otherLevel != level ? 1 : 0;
            first = Math.Min(first, distance);
        }

        return different > 0 || Math.Abs(first - at) < 2e-4;
    }

    private static (double From, double To) Slab(double origin, double direction, double low, double high)
    {
        if (Math.Abs(direction) < 1e-12)
        {
            return origin >= low && origin < high ? (double.MinValue, double.MaxValue) : (1, 0);
        }

        double a = (low - origin) / direction;
        double b = (high - origin) / direction;
        return (Math.Min(a, b), Math.Max(a, b));
    }
}
