using System.Buffers;
using Hillrow.Numerics;

namespace Hillrow.Imaging;

/// <summary>Reads frames: TIFF and BigTIFF (see <see cref="TiffPicture"/> for what) and JPEG, told apart by content.</summary>
public static class PictureReader
{
    /// <summary>Reads one page of a file into memory of its own.</summary>
    /// <exception cref="InputProblemException">Not a picture we read, cut short, damaged, or absurdly large.</exception>
    public static Picture Read(string path, PictureLimits? limits = null, int page = 0)
    {
        using PictureFile file = PictureFile.Open(path, limits);
        return file.Read(page);
    }
}

/// <summary>An opened picture file, whose pages can be read into memory that the caller owns and uses again.</summary>
/// <remarks>
/// Meant for streams of thousands of frames: <c>ReadCounts</c> allocates nothing that grows with the picture when
/// pages are uncompressed 16-bit strips, which are read straight into the target.
/// </remarks>
public abstract class PictureFile : IDisposable
{
    /// <summary>Path or name, for messages.</summary>
    public abstract string Name { get; }

    /// <summary>At least one. Reduced copies and masks of a TIFF (tag 254) are not pages.</summary>
    public abstract IReadOnlyList<PictureInfo> Pages { get; }

    /// <exception cref="InputProblemException">No such file, not a picture we read, cut short, damaged, absurd.</exception>
    public static PictureFile Open(string path, PictureLimits? limits = null) =>
        Open(ByteSource.FromFile(path), limits);

    /// <exception cref="InputProblemException">Not a picture we read, cut short, damaged, absurd.</exception>
    public static PictureFile Open(ReadOnlyMemory<byte> bytes, string name, PictureLimits? limits = null) =>
        Open(ByteSource.FromMemory(bytes, name), limits);

    /// <param name="source">Belongs to the result from now on, also when this throws.</param>
    /// <exception cref="InputProblemException">Not a picture we read, cut short, damaged, absurd.</exception>
    public static PictureFile Open(ByteSource source, PictureLimits? limits = null)
    {
        ArgumentNullException.ThrowIfNull(source);
        limits ??= PictureLimits.Default;
        Span<byte> head = stackalloc byte[4];
        try
        {
            int got = source.ReadAt(0, head);
            if (JpegStructure.LooksLikeJpeg(head[..got]))
            {
                return new JpegPicture(source, limits);
            }

            if (got > 0 && !TiffFile.LooksLikeTiff(head[..got]))
            {
                throw new InputProblemException(
                    source.Name,
                    $"it is neither a TIFF nor a JPEG file (it starts with {Convert.ToHexString(head[..got])}).",
                    "Give frames as TIFF or JPEG, or copy the file from the card again."
                );
            }

            return new TiffPicture(TiffFile.Open(source, limits.Tiff), limits);
        }
        catch
        {
            source.Dispose();
            throw;
        }
    }

    /// <summary>Reads a page into new memory: counts when every sample fits 16 bits, floats otherwise.</summary>
    /// <exception cref="InputProblemException">Cut short or damaged.</exception>
    public Picture Read(int page = 0)
    {
        PictureInfo info = Info(page);
        if (info.IsCounts)
        {
            ushort[] counts = GC.AllocateUninitializedArray<ushort>((int)info.SampleCount);
            ReadCounts(page, counts);
            return new Picture(info, counts);
        }

        float[] values = GC.AllocateUninitializedArray<float>((int)info.SampleCount);
        ReadValues(page, values);
        return new Picture(info, values);
    }

    /// <summary>Reads a page of counts, band after band.</summary>
    /// <param name="planes">Receives Bands × Rows × Columns counts; must have exactly that length.</param>
    /// <exception cref="ArgumentException">The length differs, or the page holds no counts.</exception>
    /// <exception cref="InputProblemException">Cut short or damaged; the target's content is then undefined.</exception>
    public void ReadCounts(int page, Span<ushort> planes)
    {
        PictureInfo info = Info(page);
        CheckLength(info, planes.Length);
        if (!info.IsCounts)
        {
            throw new ArgumentException(
                $"Page {page} holds {info.Form} samples of {info.BitsPerSample} bits.",
                nameof(page)
            );
        }

        Decode(page, planes, []);
    }

    /// <summary>Reads the counts of one sample of each pixel; a page of one band is read straight into the target.</summary>
    /// <param name="page">0 is the first.</param>
    /// <param name="plane">0 is the first; red of a colour picture.</param>
    /// <param name="counts">Receives Rows × Columns; must have exactly that length.</param>
    /// <exception cref="ArgumentException">The length differs, or the page holds no counts.</exception>
    /// <exception cref="InputProblemException">No such plane; cut short or damaged.</exception>
    public void ReadPlane(int page, int plane, Span<ushort> counts)
    {
        PictureInfo info = Info(page);
        if (plane < 0 || plane >= info.Bands)
        {
            throw new InputProblemException(
                Name,
                FormattableString.Invariant(
                    $"each of its pixels has {info.Bands} sample(s), but sample {plane + 1} is asked for."
                ),
                "Check the planes of the camera profile's bands."
            );
        }

        if (info.Bands == 1)
        {
            ReadCounts(page, counts);
            return;
        }

        CheckLength(info with { Bands = 1 }, counts.Length);
        DecodePlane(page, plane, counts);
    }

    /// <summary>One plane of a page of several; reads all of them unless the file's kind does better.</summary>
    protected virtual void DecodePlane(int page, int plane, Span<ushort> counts)
    {
        PictureInfo info = Info(page);
        int length = checked(info.Rows * info.Columns);
        ushort[] all = ArrayPool<ushort>.Shared.Rent(checked((int)info.SampleCount));
        try
        {
            ReadCounts(page, all.AsSpan(0, (int)info.SampleCount));
            all.AsSpan(plane * length, length).CopyTo(counts);
        }
        finally
        {
            ArrayPool<ushort>.Shared.Return(all);
        }
    }

    /// <summary>Reads a page of any kind as floats, band after band; 32-bit whole numbers are rounded to 24 bits.</summary>
    /// <param name="planes">Receives Bands × Rows × Columns values; must have exactly that length.</param>
    /// <exception cref="ArgumentException">The length differs.</exception>
    /// <exception cref="InputProblemException">Cut short or damaged; the target's content is then undefined.</exception>
    public void ReadValues(int page, Span<float> planes)
    {
        CheckLength(Info(page), planes.Length);
        Decode(page, [], planes);
    }

    public void Dispose()
    {
        Dispose(true);
        GC.SuppressFinalize(this);
    }

    /// <summary>Exactly one of the targets is not empty.</summary>
    protected abstract void Decode(int page, Span<ushort> counts, Span<float> values);

    protected virtual void Dispose(bool disposing) { }

    /// <summary>Refuses what would not fit the limits, before any memory is taken.</summary>
    private protected static void CheckSize(string name, PictureInfo info, PictureLimits limits)
    {
        long bytesPerSample = info.IsCounts ? 2 : 4;
        if (info.SampleCount > Math.Min(limits.SampleBytes / bytesPerSample, Array.MaxLength))
        {
            throw new InputProblemException(
                name,
                FormattableString.Invariant(
                    $"it claims {info.Rows} rows × {info.Columns} columns × {info.Bands} bands, above the limit of {limits.SampleBytes >> 20} MiB for a frame."
                ),
                "If it is a map and not a frame, read it as a raster; otherwise the file is damaged: copy it again."
            );
        }
    }

    private static void CheckLength(PictureInfo info, int length)
    {
        if (length != info.SampleCount)
        {
            throw new ArgumentException(
                FormattableString.Invariant(
                    $"The target holds {length} samples, the page {info.Bands} × {info.Rows} × {info.Columns}."
                )
            );
        }
    }

    private PictureInfo Info(int page) =>
        page >= 0 && page < Pages.Count
            ? Pages[page]
            : throw new InputProblemException(
                Name,
                FormattableString.Invariant($"it has {Pages.Count} page(s), but page {page + 1} is asked for."),
                "Check the camera profile's pages, or whether the file was cut short."
            );
}
