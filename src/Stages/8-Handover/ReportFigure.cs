namespace Hillrow.Handover;

/// <summary>How a figure is written for people.</summary>
public enum FigureForm
{
    Count,

    /// <summary>0 … 1, written in per cent.</summary>
    Share,
    Metres,

    /// <summary>To the metre, digits not grouped: a coordinate.</summary>
    GridMetres,
    WholeMetres,
    SquareMetres,
    Hectares,
    Degrees,

    /// <summary>Three significant digits, no unit: an index, a reflectance.</summary>
    Plain,
}

/// <summary>A number of the report that is also a row of the findings table.</summary>
/// <param name="Key">Names the row: "survey|question|subject|quantity"; the page carries it beside the number.</param>
/// <param name="Value">Unrounded; NaN is written as a dash.</param>
/// <param name="Form">How to write it.</param>
/// <param name="Low">Lower end of the 95 % interval, when there is one.</param>
/// <param name="High">Upper end.</param>
public sealed record ReportFigure(string Key, double Value, FigureForm Form, double? Low = null, double? High = null);
