using System.Globalization;
using Hillrow.Numerics;
using Microsoft.Data.Sqlite;
using NetTopologySuite.Geometries;

namespace Hillrow.Estate;

/// <summary>The blocks of an estate and their logs.</summary>
public sealed class BlockBook(EstateFolder estate)
{
    private const int LongestText = 500;

    private const string SelectBlocks = """
        SELECT id, name, geom, crop, variety, planted, stumped, plant_spacing_metres, row_spacing_metres, shade_percent,
          source FROM blocks
        """;

    /// <summary>All blocks, by name.</summary>
    public IReadOnlyList<Block> Blocks()
    {
        using SqliteConnection connection = estate.OpenDatabase();
        return Read(connection);
    }

    /// <summary>A block by its name, whatever its capitals.</summary>
    /// <exception cref="InputProblemException">There is none; the nearest name is told.</exception>
    public Block Find(string name)
    {
        IReadOnlyList<Block> blocks = Blocks();
        return blocks.FirstOrDefault(block => block.Name.Equals(name, StringComparison.OrdinalIgnoreCase))
            ?? throw new InputProblemException(
                $"block \"{name}\"",
                blocks.Count == 0 ? "does not exist: the estate has no blocks yet." : "does not exist.",
                blocks.Count == 0 ? "Bring the boundaries with `hillrow block import`."
                    : NearestWord.To(name, blocks.Select(block => block.Name)) is { } near ? $"Did you mean \"{near}\"?"
                    : "See the names with `hillrow block list`."
            );
    }

    /// <summary>Stores blocks together: all of them, or none when one cannot be.</summary>
    /// <param name="drafts">Blocks in the estate's system; ids are ignored.</param>
    /// <param name="replace">Whether a block of the same name gets the new boundary, and the facts that the draft has.</param>
    /// <exception cref="InputProblemException">A name is taken (unless replaced) or a fact is wrong; all are told.</exception>
    public void Store(IReadOnlyList<Block> drafts, bool replace)
    {
        List<string> problems = [.. drafts.SelectMany(Problems)];
        problems.AddRange(
            drafts
                .GroupBy(draft => draft.Name, StringComparer.OrdinalIgnoreCase)
                .Where(group => group.Count() > 1)
                .Select(group => $"the name \"{group.Key}\" is given to {group.Count()} blocks")
        );
        using SqliteConnection connection = estate.OpenDatabase();
        GeoPackageConnection.InTransaction(
            connection,
            () =>
            {
                Dictionary<string, Block> present = Read(connection)
                    .ToDictionary(block => block.Name, StringComparer.OrdinalIgnoreCase);
                if (!replace)
                {
                    problems.AddRange(
                        drafts
                            .Where(draft => present.ContainsKey(draft.Name))
                            .Select(draft =>
                                $"a block \"{draft.Name}\" is there already: give another name, or import the new boundary with --replace"
                            )
                    );
                }

                if (problems.Count > 0)
                {
                    throw EstateToml.Wrong(estate.Root, problems);
                }

                foreach (Block draft in drafts)
                {
                    Write(connection, draft, present.GetValueOrDefault(draft.Name));
                }

                GeoPackageSchema.Touch(connection, "blocks", DateTimeOffset.UtcNow);
                return true;
            }
        );
    }

    /// <summary>Adds a line to a block's log. A stumping later than the block's last one becomes its last one.</summary>
    /// <exception cref="InputProblemException">No such block, or the entry is wrong; all is told.</exception>
    public void Add(BlockLogEntry entry)
    {
        Block block = Find(entry.Block);
        List<string> problems = [];
        if (entry.Amount is { } amount && (!double.IsFinite(amount) || amount < 0))
        {
            problems.Add(FormattableString.Invariant($"the amount is {amount}, but must be 0 or more"));
        }

        if (entry.Amount is not null != entry.Unit.Length > 0)
        {
            problems.Add(entry.Unit.Length == 0 ? "the amount has no unit" : "there is a unit but no amount");
        }

        if (entry.Day > DateOnly.FromDateTime(DateTime.Now).AddDays(1) || entry.Day.Year < 1900)
        {
            problems.Add($"the day {entry.Day:yyyy-MM-dd} is not in the past");
        }

        if (entry.Unit.Length > 40 || entry.Product.Length > LongestText || entry.Note.Length > LongestText)
        {
            problems.Add($"a text is longer than {LongestText} characters (unit: 40)");
        }

        if (problems.Count > 0)
        {
            throw EstateToml.Wrong($"log of block {block.Name}", problems);
        }

        using SqliteConnection connection = estate.OpenDatabase();
        GeoPackageConnection.InTransaction(
            connection,
            () =>
            {
                GeoPackageConnection.Execute(
                    connection,
                    """
                    INSERT INTO block_log (block_id, day, kind, amount, unit, product, note)
                    VALUES ($block, $day, $kind, $amount, $unit, $product, $note)
                    """,
                    ("$block", block.Id),
                    ("$day", Day(entry.Day)),
                    ("$kind", entry.Kind.ToString().ToLowerInvariant()),
                    ("$amount", entry.Amount),
                    ("$unit", entry.Unit),
                    ("$product", entry.Product),
                    ("$note", entry.Note)
                );
                if (entry.Kind == LogKind.Stumping && (block.Facts.Stumped is null || block.Facts.Stumped < entry.Day))
                {
                    GeoPackageConnection.Execute(
                        connection,
                        "UPDATE blocks SET stumped = $day WHERE id = $block",
                        ("$day", Day(entry.Day)),
                        ("$block", block.Id)
                    );
                    GeoPackageSchema.Touch(connection, "blocks", DateTimeOffset.UtcNow);
                }

                GeoPackageSchema.Touch(connection, "block_log", DateTimeOffset.UtcNow);
                return true;
            }
        );
    }

    /// <summary>Log lines by day, then as they were entered; of one block, or of all.</summary>
    public IReadOnlyList<BlockLogEntry> Log(string? block = null)
    {
        long? id = block is null ? null : Find(block).Id;
        using SqliteConnection connection = estate.OpenDatabase();
        return GeoPackageConnection.Query(
            connection,
            """
            SELECT b.name, l.day, l.kind, l.amount, l.unit, l.product, l.note FROM block_log l
            JOIN blocks b ON b.id = l.block_id WHERE $id IS NULL OR b.id = $id ORDER BY l.day, l.id
            """,
            row => new BlockLogEntry(
                row.GetString(0),
                DayOf(row.GetString(1)),
                Enum.TryParse(row.GetString(2), ignoreCase: true, out LogKind kind) ? kind : LogKind.Note,
                row.IsDBNull(3) ? null : row.GetDouble(3),
                row.GetString(4),
                row.GetString(5),
                row.GetString(6)
            ),
            ("$id", id)
        );
    }

    private static List<Block> Read(SqliteConnection connection) =>
        GeoPackageConnection.Query(
            connection,
            $"{SelectBlocks} ORDER BY name COLLATE NOCASE",
            row => new Block(
                row.GetInt64(0),
                row.GetString(1),
                ShapeOf(row.IsDBNull(2) ? null : row.GetFieldValue<byte[]>(2)),
                new BlockFacts(
                    TextOrNull(row.GetString(3)),
                    TextOrNull(row.GetString(4)),
                    row.IsDBNull(5) ? null : DayOf(row.GetString(5)),
                    row.IsDBNull(6) ? null : DayOf(row.GetString(6)),
                    row.IsDBNull(7) ? null : row.GetDouble(7),
                    row.IsDBNull(8) ? null : row.GetDouble(8),
                    row.IsDBNull(9) ? null : row.GetDouble(9)
                ),
                row.GetString(10)
            )
        );

    private static void Write(SqliteConnection connection, Block draft, Block? present)
    {
        BlockFacts facts = present is null ? draft.Facts : draft.Facts.Or(present.Facts);
        int srs = Convert.ToInt32(
            GeoPackageConnection.Scalar(
                connection,
                "SELECT srs_id FROM gpkg_geometry_columns WHERE table_name = 'blocks'"
            ),
            CultureInfo.InvariantCulture
        );
        (string, object?)[] values =
        [
            ("$name", draft.Name),
            ("$geom", GeometryBlob.Write(draft.Boundary, srs)),
            ("$crop", facts.Crop ?? ""),
            ("$variety", facts.Variety ?? ""),
            ("$planted", facts.Planted is { } planted ? Day(planted) : null),
            ("$stumped", facts.Stumped is { } stumped ? Day(stumped) : null),
            ("$plantSpacing", facts.PlantSpacingMetres),
            ("$rowSpacing", facts.RowSpacingMetres),
            ("$shade", facts.ShadePercent),
            ("$source", draft.Source),
            ("$id", present?.Id),
        ];
        GeoPackageConnection.Execute(
            connection,
            present is null
                ? """
                INSERT INTO blocks (name, geom, crop, variety, planted, stumped, plant_spacing_metres, row_spacing_metres,
                  shade_percent, source)
                VALUES ($name, $geom, $crop, $variety, $planted, $stumped, $plantSpacing, $rowSpacing, $shade, $source)
                """
                : """
                UPDATE blocks SET name = $name, geom = $geom, crop = $crop, variety = $variety, planted = $planted,
                  stumped = $stumped, plant_spacing_metres = $plantSpacing, row_spacing_metres = $rowSpacing,
                  shade_percent = $shade, source = $source WHERE id = $id
                """,
            values
        );
    }

    private static IEnumerable<string> Problems(Block draft)
    {
        if (string.IsNullOrWhiteSpace(draft.Name) || draft.Name.Length > 80 || draft.Name.Any(char.IsControl))
        {
            yield return $"the name \"{draft.Name}\" must be 1 to 80 characters on one line";
        }

        foreach (string problem in draft.Facts.Problems())
        {
            yield return $"block \"{draft.Name}\": {problem}";
        }
    }

    private static MultiPolygon ShapeOf(byte[]? blob) =>
        (blob is null ? null : GeometryBlob.Read(blob)) switch
        {
            MultiPolygon many => many,
            Polygon one => one.Factory.CreateMultiPolygon([one]),
            _ => new MultiPolygon([]),
        };

    private static string Day(DateOnly day) => day.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);

    /// <summary>A day that a GIS may have written with a time behind it.</summary>
    private static DateOnly DayOf(string text) =>
        DateOnly.TryParseExact(text[..Math.Min(10, text.Length)], "yyyy-MM-dd", out DateOnly day)
            ? day
            : throw new InputProblemException(
                "estate.gpkg",
                $"holds the day \"{text}\", which is none.",
                "Write days as YYYY-MM-DD in the table."
            );

    private static string? TextOrNull(string text) => text.Length == 0 ? null : text;
}
