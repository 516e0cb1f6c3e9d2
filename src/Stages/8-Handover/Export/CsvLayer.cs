using System.Globalization;
using System.Text;
using Hillrow.Earth;

namespace Hillrow.Handover;

/// <summary>A layer's table as CSV (RFC 4180, UTF-8, decimal point); places with easting, northing, latitude, longitude.</summary>
public static class CsvLayer
{
    public static void Write(Layer layer, Stream destination)
    {
        ArgumentNullException.ThrowIfNull(layer);
        using StreamWriter table = new(destination, new UTF8Encoding(false), leaveOpen: true) { NewLine = "\r\n" };
        bool places = layer.Kind == LayerKind.Places;
        string[] own = places ? ["easting_metres", "northing_metres", "latitude", "longitude"] : [];
        table.WriteLine(string.Join(',', layer.Columns.Select(column => column.Name).Concat(own)));
        foreach (LayerFeature feature in layer.Checked().Features)
        {
            IEnumerable<string> cells = feature.Values.Select(Text);
            if (feature.Shape is PlaceShape { Place: var place })
            {
                GeographicPoint there = layer.System.ToWgs84(place);
                cells = cells.Concat([
                    place.EastingMetres.ToString("F3", CultureInfo.InvariantCulture),
                    place.NorthingMetres.ToString("F3", CultureInfo.InvariantCulture),
                    there.Latitude.Degrees.ToString("F7", CultureInfo.InvariantCulture),
                    there.Longitude.Degrees.ToString("F7", CultureInfo.InvariantCulture),
                ]);
            }

            table.WriteLine(string.Join(',', cells));
        }
    }

    private static string Text(object? value) =>
        value switch
        {
            long whole => whole.ToString(CultureInfo.InvariantCulture),
            double real => double.IsFinite(real) ? real.ToString("R", CultureInfo.InvariantCulture) : "",
            string text when text.AsSpan().IndexOfAny(",\"\r\n") >= 0 =>
                $"\"{text.Replace("\"", "\"\"", StringComparison.Ordinal)}\"",
            string text => text,
            _ => "",
        };
}
