using System.Buffers.Binary;
using System.Globalization;
using System.Text;
using Hillrow.Earth;

namespace Hillrow.Handover;

/// <summary>
/// A layer as a shapefile: .shp, .shx, .dbf, .prj and .cpg. Outer rings clockwise, holes anticlockwise, texts in UTF-8.
/// </summary>
/// <remarks>Form: Esri 1998, Shapefile technical description; dBASE III table (from memory).</remarks>
public static class ShapefileLayer
{
    private const int FileCode = 9994;
    private const int Version = 1000;
    private const int HeaderBytes = 100;
    private const int TextWidth = 80;
    private const int WholeWidth = 18;
    private const int RealWidth = 24;
    private const int RealDecimals = 10;

    /// <param name="layer">What to write.</param>
    /// <param name="definition">Well-known text of its reference system, for the .prj.</param>
    /// <param name="open">Opens a file for an extension such as ".shp".</param>
    public static void Write(Layer layer, string definition, Func<string, Stream> open)
    {
        ArgumentNullException.ThrowIfNull(layer);
        ArgumentNullException.ThrowIfNull(open);
        byte[][] records = [.. layer.Checked().Features.Select(feature => Record(feature.Shape))];
        double[] bounds = Bounds(layer);
        int code = Code(layer.Kind);
        using (Stream shapes = open(".shp"))
        using (Stream index = open(".shx"))
        {
            int words = (HeaderBytes + records.Sum(record => record.Length + 8)) / 2;
            shapes.Write(Header(code, words, bounds));
            index.Write(Header(code, (HeaderBytes + (8 * records.Length)) / 2, bounds));
            int offset = HeaderBytes / 2;
            Span<byte> entry = stackalloc byte[8];
            for (int at = 0; at < records.Length; at++)
            {
                BinaryPrimitives.WriteInt32BigEndian(entry, offset);
                BinaryPrimitives.WriteInt32BigEndian(entry[4..], records[at].Length / 2);
                index.Write(entry);
                BinaryPrimitives.WriteInt32BigEndian(entry, at + 1);
                shapes.Write(entry);
                shapes.Write(records[at]);
                offset += (records[at].Length + 8) / 2;
            }
        }

        using (Stream table = open(".dbf"))
        {
            Table(layer, table);
        }

        using (Stream system = open(".prj"))
        {
            system.Write(Encoding.UTF8.GetBytes(definition));
        }

        using Stream page = open(".cpg");
        page.Write("UTF-8"u8);
    }

    private static int Code(LayerKind kind) =>
        kind switch
        {
            LayerKind.Places => 1,
            LayerKind.Ways => 3,
            _ => 5,
        };

    private static byte[] Header(int code, int words, double[] bounds)
    {
        byte[] header = new byte[HeaderBytes];
        BinaryPrimitives.WriteInt32BigEndian(header, FileCode);
        BinaryPrimitives.WriteInt32BigEndian(header.AsSpan(24), words);
        BinaryPrimitives.WriteInt32LittleEndian(header.AsSpan(28), Version);
        BinaryPrimitives.WriteInt32LittleEndian(header.AsSpan(32), code);
        for (int at = 0; at < bounds.Length; at++)
        {
            BinaryPrimitives.WriteDoubleLittleEndian(header.AsSpan(36 + (8 * at)), bounds[at]);
        }

        return header;
    }

    /// <summary>West, south, east, north; zeros for an empty layer.</summary>
    private static double[] Bounds(Layer layer) =>
        BoundsOf([.. layer.Features.SelectMany(feature => Rings(feature.Shape)).SelectMany(ring => ring)]);

    private static double[] BoundsOf(IReadOnlyList<GridPoint> points) =>
        points.Count == 0
            ? [0, 0, 0, 0]
            :
            [
                points.Min(point => point.EastingMetres),
                points.Min(point => point.NorthingMetres),
                points.Max(point => point.EastingMetres),
                points.Max(point => point.NorthingMetres),
            ];

    private static IReadOnlyList<IReadOnlyList<GridPoint>> Rings(LayerShape shape) =>
        shape switch
        {
            PlaceShape place =>
            [
                [place.Place],
            ],
            WayShape way => [way.Points],
            AreaShape area =>
            [
                .. area.Polygons.SelectMany(polygon =>
                    polygon
                        .Holes.Select(RingTurn.Anticlockwise)
                        .Prepend(RingTurn.Clockwise(polygon.Outer))
                        .Select(ring => (IReadOnlyList<GridPoint>)[.. ring, ring[0]])
                ),
            ],
            _ => throw new InvalidOperationException($"A shapefile cannot hold a {shape.GetType().Name}."),
        };

    private static byte[] Record(LayerShape shape)
    {
        using MemoryStream bytes = new();
        using BinaryWriter writer = new(bytes);
        if (shape is PlaceShape { Place: var place })
        {
            writer.Write(1);
            writer.Write(place.EastingMetres);
            writer.Write(place.NorthingMetres);
            return bytes.ToArray();
        }

        IReadOnlyList<IReadOnlyList<GridPoint>> rings = Rings(shape);
        writer.Write(shape is WayShape ? 3 : 5);
        foreach (double bound in BoundsOf([.. rings.SelectMany(ring => ring)]))
        {
            writer.Write(bound);
        }

        writer.Write(rings.Count);
        writer.Write(rings.Sum(ring => ring.Count));
        int first = 0;
        foreach (IReadOnlyList<GridPoint> ring in rings)
        {
            writer.Write(first);
            first += ring.Count;
        }

        foreach (GridPoint point in rings.SelectMany(ring => ring))
        {
            writer.Write(point.EastingMetres);
            writer.Write(point.NorthingMetres);
        }

        return bytes.ToArray();
    }

    private static void Table(Layer layer, Stream destination)
    {
        int[] widths = [.. layer.Columns.Select(column => Width(column.Value))];
        byte[] head = new byte[32 + (32 * widths.Length) + 1];
        head[0] = 3;
        // A date is asked for; a fixed one keeps equal layers equal.
        (head[1], head[2], head[3]) = (126, 1, 1);
        BinaryPrimitives.WriteInt32LittleEndian(head.AsSpan(4), layer.Features.Count);
        BinaryPrimitives.WriteInt16LittleEndian(head.AsSpan(8), checked((short)head.Length));
        BinaryPrimitives.WriteInt16LittleEndian(head.AsSpan(10), checked((short)(1 + widths.Sum())));
        for (int at = 0; at < widths.Length; at++)
        {
            Span<byte> field = head.AsSpan(32 + (32 * at), 32);
            Encoding.ASCII.GetBytes(layer.Columns[at].Short, field);
            field[11] = layer.Columns[at].Value == LayerValue.Text ? (byte)'C' : (byte)'N';
            field[16] = (byte)widths[at];
            field[17] = layer.Columns[at].Value == LayerValue.Real ? (byte)RealDecimals : (byte)0;
        }

        head[^1] = 0x0D;
        destination.Write(head);
        foreach (LayerFeature feature in layer.Features)
        {
            destination.WriteByte((byte)' ');
            for (int at = 0; at < widths.Length; at++)
            {
                destination.Write(Cell(feature.Values[at], widths[at]));
            }
        }

        destination.WriteByte(0x1A);
    }

    private static int Width(LayerValue value) =>
        value switch
        {
            LayerValue.Text => TextWidth,
            LayerValue.Whole => WholeWidth,
            _ => RealWidth,
        };

    private static byte[] Cell(object? value, int width)
    {
        byte[] cell = new byte[width];
        Array.Fill(cell, (byte)' ');
        string text = value switch
        {
            string plain => plain,
            long whole => whole.ToString(CultureInfo.InvariantCulture).PadLeft(width),
            double real when double.IsFinite(real) => real.ToString($"F{RealDecimals}", CultureInfo.InvariantCulture)
                .PadLeft(width),
            _ => "",
        };
        byte[] bytes = Encoding.UTF8.GetBytes(text);
        int length = Math.Min(bytes.Length, width);
        // A text too long is cut before a letter, never inside one.
        while (length < bytes.Length && length > 0 && (bytes[length] & 0xC0) == 0x80)
        {
            length--;
        }

        bytes.AsSpan(0, length).CopyTo(cell);
        return cell;
    }
}
