using Hillrow.Earth;

namespace Hillrow.Handover;

/// <summary>What a column holds.</summary>
public enum LayerValue
{
    Text,
    Whole,
    Real,
}

/// <summary>A column of a layer.</summary>
/// <param name="Name">Lower-case words with the unit at the end.</param>
/// <param name="Short">At most ten letters, for dBASE tables.</param>
/// <param name="Value">What it holds; null stands for nothing known.</param>
public sealed record LayerColumn(string Name, string Short, LayerValue Value);

/// <summary>What is drawn, in the estate's grid.</summary>
public abstract record LayerShape;

public sealed record PlaceShape(GridPoint Place) : LayerShape;

public sealed record WayShape(IReadOnlyList<GridPoint> Points) : LayerShape;

public sealed record AreaShape(IReadOnlyList<GridPolygon> Polygons) : LayerShape;

public enum LayerKind
{
    Places,
    Ways,
    Areas,
}

/// <param name="Shape">Of the layer's kind.</param>
/// <param name="Values">One for each column: string, long, double or null.</param>
public sealed record LayerFeature(LayerShape Shape, IReadOnlyList<object?> Values);

/// <summary>A layer for a GIS: the same rows make every format.</summary>
/// <param name="Name">Lower-case word; names files and tables.</param>
/// <param name="Description">One line.</param>
/// <param name="Kind">Of all its shapes.</param>
/// <param name="System">WGS 84 / UTM of the shapes.</param>
/// <param name="Columns">In their order.</param>
/// <param name="Features">In their order.</param>
public sealed record Layer(
    string Name,
    string Description,
    LayerKind Kind,
    ReferenceSystem System,
    IReadOnlyList<LayerColumn> Columns,
    IReadOnlyList<LayerFeature> Features
)
{
    /// <summary>Programmer's faults: a value or shape that does not fit.</summary>
    public Layer Checked()
    {
        foreach (LayerFeature feature in Features)
        {
            bool fits =
                (Kind, feature.Shape)
                is
                    (LayerKind.Places, PlaceShape)
                    or
                    (LayerKind.Ways, WayShape)
                    or
                    (LayerKind.Areas, AreaShape);
            if (!fits || feature.Values.Count != Columns.Count)
            {
                throw new ArgumentException($"A feature does not fit layer {Name}.");
            }
        }

        return this;
    }
}
