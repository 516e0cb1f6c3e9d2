using System.Text.Json;
using System.Text.Json.Serialization;
using Hillrow.Imaging;

namespace Hillrow.Estate;

/// <summary>A lens of any kind, told apart by the members it has.</summary>
internal sealed class LensJson : JsonConverter<Lens>
{
    public override bool CanConvert(Type typeToConvert) => typeof(Lens).IsAssignableFrom(typeToConvert);

    public override Lens Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options)
    {
        LensText text =
            JsonSerializer.Deserialize<LensText>(ref reader, options) ?? throw new JsonException("a lens is missing");
        return Of(text);
    }

    public override void Write(Utf8JsonWriter writer, Lens value, JsonSerializerOptions options) =>
        JsonSerializer.Serialize(writer, TextOf(value), options);

    private static Lens Of(LensText text) =>
        text switch
        {
            { Values: { } values } => new BrownConradyLens(text.Rows, text.Columns, values),
            { Inner: { } inner, Grid: { } grid } => new ResidualGridLens(
                Of(inner),
                new ResidualGrid(
                    grid.NodeRows,
                    grid.NodeColumns,
                    grid.ColumnOffsetsPixels,
                    grid.RowOffsetsPixels,
                    grid.Interpolation
                )
            ),
            _ => throw new JsonException("a lens is of no known kind"),
        };

    private static LensText TextOf(Lens lens) =>
        lens switch
        {
            BrownConradyLens plain => new LensText(lens.Rows, lens.Columns) { Values = plain.Values },
            ResidualGridLens overlaid => new LensText(lens.Rows, lens.Columns)
            {
                Inner = TextOf(overlaid.Inner),
                Grid = new GridText(
                    overlaid.Grid.NodeRows,
                    overlaid.Grid.NodeColumns,
                    [.. overlaid.Grid.ColumnOffsetsPixels],
                    [.. overlaid.Grid.RowOffsetsPixels],
                    overlaid.Grid.Interpolation
                ),
            },
            _ => throw new NotSupportedException($"{lens.GetType().Name} cannot be stored yet."),
        };

    private sealed record LensText(int Rows, int Columns)
    {
        public BrownConradyValues? Values { get; init; }

        public LensText? Inner { get; init; }

        public GridText? Grid { get; init; }
    }

    private sealed record GridText(
        int NodeRows,
        int NodeColumns,
        double[] ColumnOffsetsPixels,
        double[] RowOffsetsPixels,
        GridInterpolation Interpolation
    );
}
