using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using Hillrow.Numerics;
using Microsoft.Data.Sqlite;

namespace Hillrow.Estate;

/// <summary>Finds a step's inputs and takes the digest of each one's content.</summary>
internal sealed class InputDigests(EstateFolder estate, ContentHashes hashes)
{
    /// <exception cref="InputProblemException">A file or folder is missing or cannot be read.</exception>
    /// <exception cref="MissingUpstreamException">A required earlier step has no usable output.</exception>
    public List<ResolvedInput> Resolve(RunStep step, SqliteConnection connection, CancellationToken cancellation) =>
        [
            .. step.Inputs.Select(input =>
                input switch
                {
                    FileInput file => OfFile(step, file, cancellation),
                    FolderInput folder => OfFolder(step, folder, cancellation),
                    OutputInput output => OfOutput(output, connection),
                    TableInput table => OfTable(table, connection),
                    _ => throw new InvalidOperationException($"Input {input.Name} is of an unknown kind."),
                }
            ),
        ];

    /// <summary>Digest of a table's rows in the order of their numbers, types told apart.</summary>
    public static string DigestOfRows(SqliteConnection connection, string table, string where, string value)
    {
        string condition = where.Length == 0 ? "" : $"WHERE {where}";
        using SqliteCommand command = GeoPackageConnection.Command(
            connection,
            $"SELECT * FROM {table} {condition} ORDER BY id",
            ("$value", value)
        );
        using SqliteDataReader reader = command.ExecuteReader();
        using IncrementalHash hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        StringBuilder row = new();
        for (int column = 0; column < reader.FieldCount; column++)
        {
            row.Append(reader.GetName(column)).Append('\x1f');
        }

        hash.AppendData(Encoding.UTF8.GetBytes(row.ToString()));
        while (reader.Read())
        {
            row.Clear();
            for (int column = 0; column < reader.FieldCount; column++)
            {
                row.Append(TextOf(reader.GetValue(column))).Append('\x1f');
            }

            hash.AppendData(Encoding.UTF8.GetBytes(row.Append('\x1e').ToString()));
        }

        return Convert.ToHexStringLower(hash.GetHashAndReset());
    }

    private static string TextOf(object value) =>
        value switch
        {
            DBNull => "n",
            long number => $"i{number}",
            double number => $"r{BitConverter.DoubleToInt64Bits(number):x16}",
            byte[] bytes => $"b{Convert.ToHexStringLower(bytes)}",
            // The separators cannot occur in the other kinds; in a text they are doubled out of the way by its length.
            string text => string.Create(CultureInfo.InvariantCulture, $"t{text.Length}:{text}"),
            _ => throw new InvalidOperationException($"A column holds a {value.GetType().Name}."),
        };

    private ResolvedInput OfFile(RunStep step, FileInput file, CancellationToken cancellation)
    {
        string path = Path.GetFullPath(file.Path, estate.Root);
        return new ResolvedInput(
            file,
            Guarded(step, path, () => hashes.OfFile(path, cancellation)),
            estate.Shown(path),
            path,
            StageOutcome.Done
        );
    }

    private ResolvedInput OfFolder(RunStep step, FolderInput folder, CancellationToken cancellation)
    {
        string path = Path.GetFullPath(folder.Path, estate.Root);
        string digest = Guarded(
            step,
            path,
            () =>
            {
                List<string> files = [.. Directory.EnumerateFiles(path, "*", SearchOption.AllDirectories)];
                files.Sort(StringComparer.Ordinal);
                StringBuilder listing = new();
                foreach (string file in files)
                {
                    string relative = Path.GetRelativePath(path, file).Replace('\\', '/');
                    listing.Append(hashes.OfFile(file, cancellation)).Append(' ').Append(relative).Append('\n');
                }

                return ContentHashes.OfText(listing.ToString());
            }
        );
        return new ResolvedInput(folder, digest, estate.Shown(path), path, StageOutcome.Done);
    }

    private ResolvedInput OfOutput(OutputInput output, SqliteConnection connection)
    {
        StepRecord? record = RunRecord.Find(connection, output.From);
        string what = output.From.ToString();
        if (record is not null && record.State is StepState.Done or StepState.Degraded)
        {
            StageOutcome outcome = new(
                record.State == StepState.Degraded ? StageVerdict.Degraded : StageVerdict.Done,
                record.Reasons
            );
            string path = Path.Combine(estate.Root, record.Place);
            // The verdict counts as content: who reads a degraded input may act on it, and must pass it on.
            string digest = ContentHashes.OfText(
                $"{record.State} {string.Join('\n', record.Reasons)}\n{record.Content}"
            );
            return new ResolvedInput(output, digest, what, path, outcome);
        }

        return output.Optional && record is not null
            ? new ResolvedInput(output, ResolvedInput.Absent, what, null, StageOutcome.Refused([.. record.Reasons]))
            : throw new MissingUpstreamException(
                output.From,
                record?.State,
                record is null ? "" : string.Join("; ", record.Reasons)
            );
    }

    private static ResolvedInput OfTable(TableInput table, SqliteConnection connection) =>
        new(
            table,
            DigestOfRows(connection, table.TableName, table.Where, table.Value),
            table.Where.Length == 0
                ? $"table {table.TableName}"
                : $"table {table.TableName} where {table.Where} ({table.Value})",
            null,
            StageOutcome.Done
        );

    private static T Guarded<T>(RunStep step, string path, Func<T> read)
    {
        try
        {
            return read();
        }
        catch (Exception fault) when (fault is FileNotFoundException or DirectoryNotFoundException)
        {
            throw new InputProblemException(
                path,
                $"does not exist, and {step.Key} needs it.",
                "Put it back, or import it again.",
                fault
            );
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            throw new InputProblemException(
                path,
                $"cannot be read ({fault.Message.ReplaceLineEndings(" ")}).",
                "Check the card or disk and the file's permissions, then run again.",
                fault
            );
        }
    }
}
