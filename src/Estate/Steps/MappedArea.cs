using Hillrow.Earth;

namespace Hillrow.Estate;

/// <summary>
/// What surfaces and maps must cover: the blocks and a margin, not the neighbours' land that the outermost captures
/// see. In steps of ten metres, so that it stays the same,
/// and nothing is done over, when a corner moves a little.
/// </summary>
internal sealed record MappedArea(double WestMetres, double SouthMetres, double EastMetres, double NorthMetres)
{
    /// <summary>Crowns at a block's edge, its paths, and room for a block that is drawn a little short.</summary>
    private const double MarginMetres = 15;

    private const double StepMetres = 10;

    /// <summary>Null without blocks: then all that the captures see is mapped.</summary>
    public static MappedArea? Of(IReadOnlyList<Block> blocks) =>
        blocks.Count == 0
            ? null
            : new MappedArea(
                Down(blocks.Min(block => block.Boundary.EnvelopeInternal.MinX) - MarginMetres),
                Down(blocks.Min(block => block.Boundary.EnvelopeInternal.MinY) - MarginMetres),
                -Down(-(blocks.Max(block => block.Boundary.EnvelopeInternal.MaxX) + MarginMetres)),
                -Down(-(blocks.Max(block => block.Boundary.EnvelopeInternal.MaxY) + MarginMetres))
            );

    public GridPolygon ToPolygon() =>
        new([
            new(WestMetres, SouthMetres),
            new(EastMetres, SouthMetres),
            new(EastMetres, NorthMetres),
            new(WestMetres, NorthMetres),
        ]);

    private static double Down(double metres) => Math.Floor(metres / StepMetres) * StepMetres;
}
