using Xunit;

namespace Hillrow.Rehearsal.Tests;

public sealed unsafe class CanopyTopsTests
{
    private static readonly SceneExtent Extent = new(0, 0, 32, 32);

    [Fact]
    public void Start_AnySpread_EndsBeforeTheFirstTop()
    {
        TerrainPosts terrain = new(Extent, 0.1);
        terrain.Measure();
        CellLayer layer = new(Extent, terrain, 0.1, 0.06);
        Random draw = new(23);
        for (int index = 0; index < layer.CellCount; index += 1 + draw.Next(900))
        {
            layer.Filled[index] = 1UL << draw.Next(40);
        }

        layer.Measure();
        CanopyTops tops = CanopyTops.Over(layer, 5);
        float edge = layer.CellMetres * CellLayer.BlockCells;
        // Rays of a packet lie so far apart that hardly any, or no, room is left to step ahead.
        float none = 0.95f * edge;
        float[] spreads = [0, 0.1f, 0.5f * edge, MathF.BitDecrement(none), none - 1e-6f, none, 2 * edge];
        foreach (float spread in spreads)
        {
            for (int ray = 0; ray < 200; ray++)
            {
                float ox = (float)(draw.NextDouble() * 32);
                float oy = (float)(draw.NextDouble() * 32);
                float dx = (float)((draw.NextDouble() - 0.5) * 0.8);
                float dy = (float)((draw.NextDouble() - 0.5) * 0.8);
                float start = tops.Start(ox, oy, 70, dx, dy, -1, spread, 10, 75);
                Assert.InRange(start, 10, PlainFirst(layer, ox, oy, 70, dx, dy, spread) + 1e-3f);
            }
        }
    }

    /// <summary>First distance, by small steps, at which some filled column within the spread reaches up to the ray.</summary>
    private static float PlainFirst(CellLayer layer, float ox, float oy, float oz, float dx, float dy, float spread)
    {
        for (float t = 10; t < 75; t += 0.05f)
        {
            (float x, float y, float z) = (ox + (dx * t), oy + (dy * t), oz - t);
            int fromColumn = Math.Max(0, (int)Math.Floor((x - spread) / layer.CellMetres / CellLayer.BlockCells));
            int fromRow = Math.Max(0, (int)Math.Floor((y - spread) / layer.CellMetres / CellLayer.BlockCells));
            int toColumn = Math.Min(
                layer.BlockColumns - 1,
                (int)Math.Floor((x + spread) / layer.CellMetres / CellLayer.BlockCells)
            );
            int toRow = Math.Min(
                layer.BlockRows - 1,
                (int)Math.Floor((y + spread) / layer.CellMetres / CellLayer.BlockCells)
            );
            for (int row = fromRow; row <= toRow; row++)
            {
                for (int column = fromColumn; column <= toColumn; column++)
                {
                    if (layer.Blocks[(row * layer.BlockColumns) + column].Top >= z)
                    {
                        return t;
                    }
                }
            }
        }

        return 75;
    }
}
