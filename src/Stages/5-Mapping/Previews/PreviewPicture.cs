using Hillrow.Earth;
using Hillrow.Imaging;

namespace Hillrow.Mapping;

/// <summary>A small picture of a map with all that its frame needs: place, size on the ground, legend.</summary>
/// <param name="Png">The picture; cells without data are clear.</param>
/// <param name="Grid">Its pixels on the ground, in the map's reference system (north up).</param>
/// <param name="Legend">What the colours mean.</param>
public sealed record PreviewPicture(byte[] Png, GridGeometry Grid, PreviewLegend Legend);

/// <summary>What a preview's colours mean.</summary>
/// <param name="Title">Of the quantity.</param>
/// <param name="Ramp">Colours from <paramref name="Low"/> to <paramref name="High"/>; null for composites of three bands.</param>
/// <param name="Low">Value of the first colour (of black, for composites); lower values look the same.</param>
/// <param name="High">Value of the last colour (of full brightness, for composites); higher values look the same.</param>
/// <param name="Ticks">Round values from Low to High.</param>
/// <param name="Stretch">One sentence that says how Low and High were chosen and how many cells lie beyond.</param>
public sealed record PreviewLegend(
    string Title,
    ColourRamp? Ramp,
    double Low,
    double High,
    IReadOnlyList<double> Ticks,
    string Stretch
);
