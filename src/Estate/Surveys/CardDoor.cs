namespace Hillrow.Estate;

/// <summary>How a card's files are reached; the usual one opens them where they lie.</summary>
/// <param name="Open">Opens a file for reading from its start; may be called by several threads.</param>
public sealed record CardDoor(Func<string, Stream> Open)
{
    public static CardDoor Usual { get; } =
        new(path => new FileStream(
            path,
            FileMode.Open,
            FileAccess.Read,
            FileShare.Read,
            1,
            FileOptions.SequentialScan
        ));

    /// <summary>Files that are hashed, looked at and written at the same time; others are read and flushed meanwhile.</summary>
    public int FilesAtOnce { get; init; } = Math.Clamp(Environment.ProcessorCount, 1, 8);
}
