using System.Numerics;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;

namespace Hillrow.Rehearsal;

/// <summary>What a block of 8 × 8 cells holds: enough to skip it without looking at its cells.</summary>
[StructLayout(LayoutKind.Sequential)]
internal struct CellBlock
{
    /// <summary>Up coordinate of the bottom of level 0.</summary>
    public float Base;

    /// <summary>Up coordinate of the top of the highest filled level; below everything when empty.</summary>
    public float Top;

    /// <summary>Levels filled in any of the cells.</summary>
    public ulong AnyFilled;
}

/// <summary>
/// Vegetation as small boxes: a grid of cells, each a column of 64 levels, one bit a level. Rays step through blocks
/// of 8 × 8 cells and, where something may be hit, through cells; holes between leaves stay holes.
/// </summary>
public sealed unsafe class CellLayer
{
    /// <summary>Cells along a block's edge.</summary>
    public const int BlockCells = 8;

    private readonly ulong[] filledStore;
    private readonly int[] ownerStore;
    private readonly ulong[] litStore;
    private readonly CellBlock[] blockStore;
    private readonly float[] levelBaseStore;

    /// <param name="cellMetres">Edge of a cell, above 0.</param>
    /// <param name="levelMetres">Height of a level, above 0; 64 of them reach from the ground to the tallest leaf.</param>
    public CellLayer(SceneExtent extent, TerrainPosts terrain, double cellMetres, double levelMetres)
    {
        ArgumentNullException.ThrowIfNull(extent);
        ArgumentNullException.ThrowIfNull(terrain);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(cellMetres);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(levelMetres);
        Extent = extent;
        CellMetres = (float)cellMetres;
        LevelMetres = (float)levelMetres;
        BlockColumns = (int)Math.Ceiling(extent.WidthMetres / (cellMetres * BlockCells));
        BlockRows = (int)Math.Ceiling(extent.LengthMetres / (cellMetres * BlockCells));
        int blocks = checked(BlockColumns * BlockRows);
        int cells = checked(blocks * BlockCells * BlockCells);
        filledStore = GC.AllocateArray<ulong>(cells, pinned: true);
        litStore = GC.AllocateArray<ulong>(cells, pinned: true);
        ownerStore = GC.AllocateArray<int>(cells, pinned: true);
        blockStore = GC.AllocateArray<CellBlock>(blocks, pinned: true);
        levelBaseStore = GC.AllocateArray<float>(blocks, pinned: true);
        Filled = (ulong*)Unsafe.AsPointer(ref filledStore[0]);
        LevelBases = (float*)Unsafe.AsPointer(ref levelBaseStore[0]);
        Lit = (ulong*)Unsafe.AsPointer(ref litStore[0]);
        Owner = (int*)Unsafe.AsPointer(ref ownerStore[0]);
        Blocks = (CellBlock*)Unsafe.AsPointer(ref blockStore[0]);
        SetBases(terrain);
    }

    public SceneExtent Extent { get; }

    public float CellMetres { get; }

    public float LevelMetres { get; }

    public int BlockColumns { get; }

    public int BlockRows { get; }

    public int CellColumns => BlockColumns * BlockCells;

    public int CellRows => BlockRows * BlockCells;

    public int CellCount => filledStore.Length;

    /// <summary>Up coordinate of the highest filled level anywhere.</summary>
    public float HighestMetres { get; private set; }

    internal ulong* Filled { get; }

    /// <summary>Levels that see the sun; only meaningful where filled.</summary>
    internal ulong* Lit { get; }

    internal int* Owner { get; }

    internal CellBlock* Blocks { get; }

    /// <summary>Up coordinate of the bottom of level 0 of each block, counted in levels from 0.</summary>
    internal float* LevelBases { get; }

    /// <summary>Where a cell lies in the block-by-block order of the stores.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    internal int IndexOf(int column, int row)
    {
        unchecked
        {
            // Cell numbers are non-negative and below the store's length.
            int block = ((row >> 3) * BlockColumns) + (column >> 3);
            return (block << 6) + ((row & 7) << 3) + (column & 7);
        }
    }

    /// <summary>Fills the level at a place; outside the layer or its height range nothing happens.</summary>
    /// <param name="isNearerThan">True when this owner goes before the one there.</param>
    internal void Fill(double east, double north, double up, int owner, float nearness, float[] nearest)
    {
        double x = (east - Extent.WestMetres) / CellMetres;
        double y = (north - Extent.SouthMetres) / CellMetres;
        if (x < 0 || y < 0 || x >= CellColumns || y >= CellRows)
        {
            return;
        }

        int index = IndexOf((int)x, (int)y);
        double level = (up - Blocks[index >> 6].Base) / LevelMetres;
        if (level < 0 || level >= 64)
        {
            return;
        }

        Filled[index] |= 1UL << (int)level;
        if (nearness < nearest[index])
        {
            (nearest[index], Owner[index]) = (nearness, owner);
        }
    }

    /// <summary>Fills the lowest levels above a ground height in one cell, unless a plant already stands in it.</summary>
    internal void FillFromGround(int index, float ground, float height, int owner)
    {
        float start = Blocks[index >> 6].Base;
        int from = Math.Clamp((int)((ground - start) / LevelMetres), 0, 63);
        int to = Math.Clamp((int)((ground + height - start) / LevelMetres), 0, 63);
        ulong levels = (ulong.MaxValue << from) & (ulong.MaxValue >> (63 - to));
        if (Owner[index] == 0)
        {
            Owner[index] = owner;
        }

        Filled[index] |= levels;
    }

    /// <summary>Must be called once after everything is filled in.</summary>
    internal void Measure()
    {
        HighestMetres = float.MinValue;
        for (int block = 0; block < blockStore.Length; block++)
        {
            ulong any = 0;
            for (int cell = 0; cell < 64; cell++)
            {
                any |= Filled[(block << 6) + cell];
            }

            ref CellBlock here = ref blockStore[block];
            here.AnyFilled = any;
            here.Top =
                any == 0 ? float.MinValue : here.Base + ((64 - BitOperations.LeadingZeroCount(any)) * LevelMetres);
            HighestMetres = MathF.Max(HighestMetres, here.Top);
        }
    }

    private void SetBases(TerrainPosts terrain)
    {
        double edge = CellMetres * BlockCells;
        for (int row = 0; row < BlockRows; row++)
        {
            for (int column = 0; column < BlockColumns; column++)
            {
                double lowest = double.MaxValue;
                for (int y = 0; y <= 4; y++)
                {
                    for (int x = 0; x <= 4; x++)
                    {
                        double east = Extent.WestMetres + ((column + (x * 0.25)) * edge);
                        double north = Extent.SouthMetres + ((row + (y * 0.25)) * edge);
                        lowest = Math.Min(lowest, terrain.HeightAt(east, north));
                    }
                }

                blockStore[(row * BlockColumns) + column] = new CellBlock
                {
                    Base = (float)lowest - 0.01f,
                    Top = float.MinValue,
                };
                levelBaseStore[(row * BlockColumns) + column] = ((float)lowest - 0.01f) / LevelMetres;
            }
        }
    }
}
