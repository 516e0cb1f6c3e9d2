using System.Runtime.CompilerServices;

namespace Hillrow.Rehearsal;

/// <summary>What the ground is made of.</summary>
public enum GroundMaterial : byte
{
    Soil,
    DarkSoil,
    PaleSoil,
    Litter,
    Road,
    Rock,
    Turf,
    Target,
}

/// <summary>
/// The ground's skin, one entry for each cell of the fine layer, in its block order: material, brightness, and, once
/// the light is known, how much of the sun and sky it sees. Packed in four bytes so that a hit costs one load.
/// </summary>
public sealed unsafe class GroundCover
{
    private readonly uint[] store;

    internal GroundCover(int cells)
    {
        store = GC.AllocateArray<uint>(cells, pinned: true);
        Cells = (uint*)Unsafe.AsPointer(ref store[0]);
    }

    /// <summary>Bits 0–7 material, 8–15 brightness (128 is the mean), 16–23 sun seen, 24–31 sky seen.</summary>
    internal uint* Cells { get; }

    internal static uint Pack(GroundMaterial material, int brightness) =>
        (uint)material | ((uint)Math.Clamp(brightness, 0, 255) << 8);

    internal static GroundMaterial MaterialOf(uint cell) => (GroundMaterial)(cell & 255);
}
