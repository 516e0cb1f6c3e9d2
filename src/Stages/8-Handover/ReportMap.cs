using Hillrow.Earth;

namespace Hillrow.Handover;

/// <summary>A map of the report: a picture with its place on the ground, and what is drawn over it.</summary>
public sealed record ReportMap
{
    /// <summary>Text key of the title ("map.decline").</summary>
    public required string TitleKey { get; init; }

    /// <summary>PNG or JPEG, north up.</summary>
    public required byte[] Picture { get; init; }

    /// <summary>"image/png" or "image/jpeg".</summary>
    public required string PictureType { get; init; }

    /// <summary>Outer edges of the picture on the ground; same proportions as the picture.</summary>
    public required MapExtent Extent { get; init; }

    public required DateOnly Date { get; init; }

    public IReadOnlyList<MapOutline> Outlines { get; init; } = [];

    public IReadOnlyList<MapMark> Marks { get; init; } = [];

    /// <summary>Colour ramp of the picture, or null for a photograph.</summary>
    public MapRamp? Ramp { get; init; }
}

/// <summary>A rectangle of the estate's grid, metres.</summary>
public sealed record MapExtent(double West, double South, double East, double North, string ReferenceSystem)
{
    public double WidthMetres => East - West;

    public double HeightMetres => North - South;
}

public enum OutlineKind
{
    Block,
    Patch,
}

/// <summary>A named polygon.</summary>
public sealed record MapOutline(OutlineKind Kind, string Name, GridPolygon Polygon);

public enum MarkKind
{
    Light,
    Moderate,
    Severe,
    New,
    Recovered,
    Gap,
}

/// <summary>One plant or gap.</summary>
public readonly record struct MapMark(MarkKind Kind, GridPoint Place);

/// <summary>A colour ramp with its ends; colours as #rrggbb, low to high.</summary>
/// <param name="LabelKey">Text key of what it shows.</param>
public sealed record MapRamp(string LabelKey, double Low, double High, IReadOnlyList<string> Colours);
