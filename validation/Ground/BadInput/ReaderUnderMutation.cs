namespace Hillrow.Validation.Ground;

/// <summary>A file given to a reader: its name (with the right ending) and its bytes.</summary>
public sealed record SampleFile(string Name, byte[] Bytes);

/// <summary>
/// A reader of files that people bring. Every public class below validation/ that derives from this is found by
/// itself and put through hand-made bad files and at least 2,000 seeded mutations of its good ones.
/// </summary>
public abstract class ReaderUnderMutation
{
    /// <summary>For messages and the figure's text, for instance "TIFF directories".</summary>
    public abstract string Name { get; }

    /// <summary>True when the reader wants a path on disk; the runner then writes each file before the call.</summary>
    public virtual bool NeedsFile => false;

    /// <summary>Managed bytes that one call may allocate in all; the goal is 1 GiB of memory.</summary>
    public virtual long AllocationLimitBytes => 1L << 30;

    /// <summary>Good files, small (kilobytes), one per dialect that the reader knows. At least one.</summary>
    public abstract IReadOnlyList<SampleFile> Seeds();

    /// <summary>
    /// Files that must be refused, beside the three every reader gets (empty, half of the first seed, wrong magic):
    /// absurd sizes, bombs, slips.
    /// </summary>
    public virtual IReadOnlyList<SampleFile> BadFiles() => [];

    /// <summary>False when half a file is still good for this reader (texts of lines, for instance).</summary>
    public virtual bool RefusesHalf => true;

    /// <summary>
    /// Reads all there is to read. May return, or throw <c>InputProblemException</c> that names <paramref name="path"/>;
    /// anything else is a fault.
    /// </summary>
    /// <param name="bytes">The file's content.</param>
    /// <param name="path">Its path; on disk only when <see cref="NeedsFile"/>.</param>
    public abstract void Read(byte[] bytes, string path);
}
