using System.Numerics;
using Hillrow.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>
/// Casts shadows once per light state: marks every filled level that sees the sun, and stores for each ground cell
/// how much sun and sky it sees. Frames then look shadows up instead of casting rays of their own.
/// </summary>
internal static unsafe class SunAndSkyView
{
    private const int SkyDirections = 12;

    public static void Cast(
        TerrainPosts terrain,
        Vegetation vegetation,
        CanopyTops shrubTops,
        CanopyTops treeTops,
        Vector3D towardsSun,
        bool withSky,
        int threads
    )
    {
        CellLayer shrubs = vegetation.Shrubs;
        Shelter shelter = new(shrubs, vegetation.Trees, shrubTops, treeTops, vegetation.Cover.Cells);
        ParallelOptions parallel = new() { MaxDegreeOfParallelism = threads };
        float[] sky = withSky ? new float[shrubs.BlockColumns * shrubs.BlockRows * 4] : [];
        Vector3D[] directions = SkyRays();
        Parallel.For(
            0,
            shrubs.BlockRows,
            parallel,
            row =>
            {
                for (int column = 0; column < shrubs.BlockColumns; column++)
                {
                    int block = (row * shrubs.BlockColumns) + column;
                    Block(terrain, shelter, towardsSun, row, column);
                    if (withSky)
                    {
                        Sky(terrain, shelter, directions, row, column, sky.AsSpan(block * 4, 4));
                    }
                }
            }
        );
        CellLayer trees = vegetation.Trees;
        Parallel.For(
            0,
            trees.BlockRows,
            parallel,
            row =>
            {
                for (int column = 0; column < trees.BlockColumns; column++)
                {
                    LightLevels(trees, shelter, towardsSun, row, column);
                }
            }
        );
        if (withSky)
        {
            Parallel.For(0, shrubs.BlockRows, parallel, row => SpreadSky(vegetation, sky, row));
        }
    }

    private static bool Blocked(Shelter shelter, float x, float y, float z, Vector3D to)
    {
        CellHit hit = default;
        float perUp = (float)(1 / to.Z);
        float run = (float)Math.Sqrt(1 - (to.Z * to.Z)) * perUp;
        float reach = Reach(shelter.ShrubTops, x, y, z, run) * perUp;
        if (
            reach > 0
            && CellTrace.First(shelter.Shrubs, x, y, z, (float)to.X, (float)to.Y, (float)to.Z, 0, reach, ref hit)
        )
        {
            return true;
        }

        reach = Reach(shelter.TreeTops, x, y, z, run) * perUp;
        return reach > 0
            && CellTrace.First(shelter.Trees, x, y, z, (float)to.X, (float)to.Y, (float)to.Z, 0, reach, ref hit);
    }

    /// <summary>How far up a ray can still meet leaves.</summary>
    private static float Reach(CanopyTops tops, float x, float y, float z, float run)
    {
        float rise = tops.Near(x, y) - z;
        return rise > 0 && rise * run > tops.ReachMetres ? tops.HighestMetres - z : rise;
    }

    /// <summary>True when the hillside itself stands before the sun.</summary>
    private static bool BehindHill(TerrainPosts terrain, float x, float y, float z, Vector3D to, double from)
    {
        for (double along = from; along < 60; along *= 1.6)
        {
            double up = z + (along * to.Z);
            if (up > terrain.HighestMetres)
            {
                return false;
            }

            if (terrain.HeightAt(x + (along * to.X), y + (along * to.Y)) > up)
            {
                return true;
            }
        }

        return false;
    }

    private static void Block(TerrainPosts terrain, Shelter shelter, Vector3D sun, int blockRow, int blockColumn)
    {
        CellLayer shrubs = shelter.Shrubs;
        LightLevels(shrubs, shelter, sun, blockRow, blockColumn);
        float edge = shrubs.CellMetres;
        float west = (float)shrubs.Extent.WestMetres + (blockColumn * 8 * edge);
        float south = (float)shrubs.Extent.SouthMetres + (blockRow * 8 * edge);
        float middleX = west + (4 * edge);
        float middleY = south + (4 * edge);
        // One look from below the block's surface: only where that is dark may a bank or rock shade a cell of it.
        bool nearHill = BehindHill(
            terrain,
            middleX,
            middleY,
            (float)terrain.HeightAt(middleX, middleY) - 0.25f,
            sun,
            0.4
        );
        Span<byte> corners = stackalloc byte[81];
        for (int corner = 0; corner < 81; corner++)
        {
            float x = west + ((corner % 9) * edge);
            float y = south + ((corner / 9) * edge);
            float z = (float)terrain.HeightAt(x, y) + 0.012f;
            corners[corner] = (byte)(
                Blocked(shelter, x, y, z, sun) || (nearHill && BehindHill(terrain, x, y, z, sun, 0.1)) ? 0 : 1
            );
        }

        for (int cell = 0; cell < 64; cell++)
        {
            int at = ((cell >> 3) * 9) + (cell & 7);
            int seen = corners[at] + corners[at + 1] + corners[at + 9] + corners[at + 10];
            uint* skin = shelter.Skin + shrubs.IndexOf((blockColumn * 8) + (cell & 7), (blockRow * 8) + (cell >> 3));
            *skin = (*skin & 0xff00ffffu) | ((uint)(seen * 255 / 4) << 16);
        }
    }

    private static void LightLevels(CellLayer layer, Shelter shelter, Vector3D sun, int blockRow, int blockColumn)
    {
        float edge = layer.CellMetres;
        // Starts just outside the box, on its sunward side: a leaf does not shade itself.
        float clear = (float)(
            1.02
            * Math.Min(
                Math.Min(0.5 * edge / Math.Max(1e-6, Math.Abs(sun.X)), 0.5 * edge / Math.Max(1e-6, Math.Abs(sun.Y))),
                0.5 * layer.LevelMetres / sun.Z
            )
        );
        for (int cell = 0; cell < 64; cell++)
        {
            int column = (blockColumn * 8) + (cell & 7);
            int row = (blockRow * 8) + (cell >> 3);
            int index = layer.IndexOf(column, row);
            ulong left = layer.Filled[index];
            ulong lit = 0;
            float x = (float)layer.Extent.WestMetres + ((column + 0.5f) * edge) + (clear * (float)sun.X);
            float y = (float)layer.Extent.SouthMetres + ((row + 0.5f) * edge) + (clear * (float)sun.Y);
            float bottom = layer.Blocks[index >> 6].Base + (clear * (float)sun.Z);
            while (left != 0)
            {
                int level = BitOperations.TrailingZeroCount(left);
                left &= left - 1;
                if (!Blocked(shelter, x, y, bottom + ((level + 0.5f) * layer.LevelMetres), sun))
                {
                    lit |= 1UL << level;
                }
            }

            layer.Lit[index] = lit;
        }
    }

    private static void Sky(
        TerrainPosts terrain,
        Shelter shelter,
        Vector3D[] directions,
        int blockRow,
        int blockColumn,
        Span<float> quarters
    )
    {
        CellLayer shrubs = shelter.Shrubs;
        for (int quarter = 0; quarter < 4; quarter++)
        {
            float x =
                (float)shrubs.Extent.WestMetres + (((blockColumn * 8) + 2 + (4 * (quarter & 1))) * shrubs.CellMetres);
            float y =
                (float)shrubs.Extent.SouthMetres + (((blockRow * 8) + 2 + (4 * (quarter >> 1))) * shrubs.CellMetres);
            float z = (float)terrain.HeightAt(x, y) + 0.05f;
            int open = 0;
            foreach (Vector3D direction in directions)
            {
                open += Blocked(shelter, x, y, z, direction) ? 0 : 1;
            }

            quarters[quarter] = open / (float)directions.Length;
        }
    }

    /// <summary>Sky seen by each cell: bilinear between the quarter-block samples.</summary>
    private static void SpreadSky(Vegetation vegetation, float[] sky, int blockRow)
    {
        CellLayer shrubs = vegetation.Shrubs;
        int lastColumn = (shrubs.BlockColumns * 2) - 1;
        int lastRow = (shrubs.BlockRows * 2) - 1;
        float At(int column, int row)
        {
            column = Math.Clamp(column, 0, lastColumn);
            row = Math.Clamp(row, 0, lastRow);
            int block = ((row >> 1) * shrubs.BlockColumns) + (column >> 1);
            return sky[(block * 4) + ((row & 1) * 2) + (column & 1)];
        }

        for (int row = blockRow * 8; row < (blockRow * 8) + 8; row++)
        {
            for (int column = 0; column < shrubs.CellColumns; column++)
            {
                float x = ((column + 0.5f) / 4) - 0.5f;
                float y = ((row + 0.5f) / 4) - 0.5f;
                int ix = (int)MathF.Floor(x);
                int iy = (int)MathF.Floor(y);
                float low = At(ix, iy) + ((At(ix + 1, iy) - At(ix, iy)) * (x - ix));
                float high = At(ix, iy + 1) + ((At(ix + 1, iy + 1) - At(ix, iy + 1)) * (x - ix));
                uint seen = (uint)(255 * (low + ((high - low) * (y - iy))));
                uint* skin = vegetation.Cover.Cells + shrubs.IndexOf(column, row);
                *skin = (*skin & 0x00ffffffu) | (seen << 24);
            }
        }
    }

    /// <summary>Directions whose plain mean is the cosine-weighted mean over the sky.</summary>
    private static Vector3D[] SkyRays()
    {
        Vector3D[] rays = new Vector3D[SkyDirections];
        for (int index = 0; index < rays.Length; index++)
        {
            double radius = Math.Sqrt((index + 0.5) / rays.Length * 0.97);
            double turn = index * 2.399963;
            rays[index] = new Vector3D(
                radius * Math.Cos(turn),
                radius * Math.Sin(turn),
                Math.Sqrt(1 - (radius * radius))
            );
        }

        return rays;
    }

    /// <summary>What may stand before sun and sky.</summary>
    private sealed class Shelter(
        CellLayer shrubs,
        CellLayer trees,
        CanopyTops shrubTops,
        CanopyTops treeTops,
        uint* skin
    )
    {
        public CellLayer Shrubs { get; } = shrubs;

        public CellLayer Trees { get; } = trees;

        public CanopyTops ShrubTops { get; } = shrubTops;

        public CanopyTops TreeTops { get; } = treeTops;

        public uint* Skin { get; } = skin;
    }
}
