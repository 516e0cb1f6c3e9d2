using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>A copy on its way: written under another name, and under its own only when whole and flushed.</summary>
internal sealed class CopiedFile : IPendingFile
{
    private const string Partial = ".partial";

    private readonly string target;
    private readonly DateTime modifiedUtc;
    private readonly FileStream stream;

    /// <param name="target">Its name in the end; the folder is there.</param>
    /// <param name="modifiedUtc">Time stamp that it has on the card.</param>
    /// <exception cref="InputProblemException">The place cannot be written.</exception>
    public CopiedFile(string target, DateTime modifiedUtc)
    {
        this.target = target;
        this.modifiedUtc = modifiedUtc;
        stream = Told(() => new FileStream(target + Partial, FileMode.Create, FileAccess.Write, FileShare.None, 1));
    }

    /// <exception cref="InputProblemException">The disk is full or fails.</exception>
    public void Write(ReadOnlySpan<byte> content)
    {
        try
        {
            stream.Write(content);
        }
        catch (Exception fault)
            when (fault is IOException or UnauthorizedAccessException || DurableFiles.IsFileTooLarge(fault))
        {
            throw Problem(fault);
        }
    }

    public void Finish() =>
        Told(() =>
        {
            stream.Flush(flushToDisk: true);
            stream.Dispose();
            File.SetLastWriteTimeUtc(target + Partial, modifiedUtc);
            File.Move(target + Partial, target, overwrite: true);
            return true;
        });

    public void Dispose() => stream.Dispose();

    private T Told<T>(Func<T> write)
    {
        try
        {
            return write();
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            throw Problem(fault);
        }
    }

    private InputProblemException Problem(Exception fault) =>
        fault is IOException io && DurableFiles.IsDiskFull(io) ? DurableFiles.DiskFull(target, io)
        : DurableFiles.IsFileTooLarge(fault) ? DurableFiles.FileTooLarge(target, fault)
        : new InputProblemException(
            target,
            $"cannot be written ({fault.Message.ReplaceLineEndings(" ").TrimEnd('.')}).",
            "Check the estate's disk and your rights there, then bring the card again.",
            fault
        );
}
