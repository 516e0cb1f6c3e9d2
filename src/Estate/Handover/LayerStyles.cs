using Hillrow.Handover;
using Hillrow.Imaging;

namespace Hillrow.Estate;

/// <summary>How each layer is drawn in a GIS: the report's colours (ColorBrewer YlOrRd), shapes that differ in grey too.</summary>
internal static class LayerStyles
{
    private const string Dark = "#222222";

    /// <summary>Fixed ends, the report's own.</summary>
    public static IReadOnlyList<(string Name, double Low, double High, ColourRamp Ramp)> Ramps { get; } =
    [("ndvi", 0, 1, ColourRamp.Viridis), ("ndre", 0, 0.6, ColourRamp.Viridis), ("canopy", 0, 4, ColourRamp.Cividis)];

    public static IReadOnlyList<StyleRule> Of(string layer) =>
        layer switch
        {
            "blocks" => [All("block", null, Dark, 1.5)],
            "patches" => [All("declining patch", null, "#bd0026", 2)],
            "plants" =>
            [
                Severity("healthy", "circle", "#f7f7f7", 3),
                Severity("light", "circle", "#ffeda0", 6),
                Severity("moderate", "square", "#feb24c", 7),
                Severity("severe", "triangle", "#f03b20", 9),
                Severity("not judged", "x", "#999999", 4),
            ],
            "gaps" => [All("gap", "#ffffff", Dark, 6, "x")],
            "walk_stops" =>
            [
                Task("dig", "star", "#bd0026"),
                Task("compare", "square", "#ffffff"),
                Task("look", "circle", "#ffffff"),
            ],
            "walk_way" => [All("way", null, "#08519c", 2)],
            _ => throw new ArgumentException($"Layer {layer} has no style.", nameof(layer)),
        };

    private static StyleRule All(string title, string? fill, string stroke, double size, string mark = "circle") =>
        new(title, null, null, mark, fill, stroke, size);

    private static StyleRule Severity(string word, string mark, string fill, double size) =>
        new(word, "severity", word, mark, fill, Dark, size);

    private static StyleRule Task(string word, string mark, string fill) =>
        new(word, "task", word, mark, fill, Dark, 10);
}
