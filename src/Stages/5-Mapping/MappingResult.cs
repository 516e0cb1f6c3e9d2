using Hillrow.Numerics;

namespace Hillrow.Mapping;

/// <summary>What came of laying the map.</summary>
/// <param name="Outcome">Whether the map may be used.</param>
/// <param name="CellsMapped">Cells that got a capture.</param>
/// <param name="CellsWithSurface">Cells where the surface has a height.</param>
/// <param name="CellsHidden">Cells in reach of captures that none of those weighed sees: left without data.</param>
/// <param name="CellsShaded">Mapped cells in cast shadow.</param>
/// <param name="CapturesUsed">Captures with at least one cell.</param>
/// <param name="LensLatticeErrorPixels">Greatest error of the lens lattices, checked at every lattice cell's middle.</param>
/// <param name="MeanViewZenithDegrees">Over mapped patches.</param>
public sealed record MappingResult(
    StageOutcome Outcome,
    long CellsMapped,
    long CellsWithSurface,
    long CellsHidden,
    long CellsShaded,
    int CapturesUsed,
    double LensLatticeErrorPixels,
    double MeanViewZenithDegrees
);
