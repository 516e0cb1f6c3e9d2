using System.Runtime.InteropServices;
using Hillrow.Numerics;
using OpenCvSharp;

namespace Hillrow.Imaging;

/// <summary>JPEG of 8 bits, baseline or progressive, one band or three (red, green, blue), decoded by OpenCV.</summary>
internal sealed class JpegPicture : PictureFile
{
    // Decoders walk the whole picture once a scan: ten scans are usual, a hundred only in a file made to stall.
    private const int MostScans = 100;

    private readonly byte[] bytes;
    private readonly PictureInfo info;

    public JpegPicture(ByteSource source, PictureLimits limits)
    {
        Name = source.Name;
        if (source.Length > limits.SampleBytes)
        {
            throw new InputProblemException(
                Name,
                FormattableString.Invariant($"{source.Length} bytes are too many for a JPEG frame."),
                "Check that it is a picture of the camera."
            );
        }

        bytes = GC.AllocateUninitializedArray<byte>((int)source.Length);
        source.ReadExactly(0, bytes, "the file");
        source.Dispose();
        JpegStructure structure = JpegStructure.Walk(bytes, Name);
        info = new PictureInfo(
            0,
            structure.Rows,
            structure.Columns,
            structure.Bands,
            structure.BitsPerSample,
            SampleForm.Unsigned,
            JpegMetadata.Orientation(bytes, structure, Name),
            structure.Bands == 1 ? 1 : 2
        );
        Check(structure);
        CheckSize(Name, info, limits);
        Pages = [info];
    }

    public override string Name { get; }

    public override IReadOnlyList<PictureInfo> Pages { get; }

    protected override void Decode(int page, Span<ushort> counts, Span<float> values)
    {
        using Mat mat = Decoded();
        int plane = info.Rows * info.Columns;
        for (int row = 0; row < info.Rows; row++)
        {
            ReadOnlySpan<byte> line = Row(mat, row);
            for (int band = 0; band < info.Bands; band++)
            {
                int place = (band * plane) + (row * info.Columns);
                if (counts.IsEmpty)
                {
                    Pick(line, SampleOf(band), info.Bands, values.Slice(place, info.Columns));
                }
                else
                {
                    Pick(line, SampleOf(band), info.Bands, counts.Slice(place, info.Columns));
                }
            }
        }
    }

    protected override void DecodePlane(int page, int plane, Span<ushort> counts)
    {
        using Mat mat = Decoded();
        for (int row = 0; row < info.Rows; row++)
        {
            Pick(Row(mat, row), SampleOf(plane), info.Bands, counts.Slice(row * info.Columns, info.Columns));
        }
    }

    /// <summary>OpenCV keeps blue first; frames here keep red first.</summary>
    private int SampleOf(int band) => info.Bands == 3 ? 2 - band : band;

    private Mat Decoded()
    {
        VisionLibrary.EnsureReady();
        Mat? decoded = null;
        try
        {
            decoded = Cv2.ImDecode(bytes, ImreadModes.Unchanged | ImreadModes.IgnoreOrientation);
        }
        catch (OpenCVException fault)
        {
            throw Undecodable(fault);
        }

        Mat mat = decoded;
        if (
            mat.Empty()
            || mat.Rows != info.Rows
            || mat.Cols != info.Columns
            || mat.Type() != MatType.CV_8UC(info.Bands)
        )
        {
            mat.Dispose();
            throw Undecodable(null);
        }

        return mat;
    }

    private unsafe ReadOnlySpan<byte> Row(Mat mat, int row) => new((void*)mat.Ptr(row), info.Columns * info.Bands);

    private static void Pick(ReadOnlySpan<byte> line, int from, int stride, Span<ushort> target)
    {
        for (int i = 0; i < target.Length; i++)
        {
            target[i] = line[from];
            from += stride;
        }
    }

    private static void Pick(ReadOnlySpan<byte> line, int from, int stride, Span<float> target)
    {
        for (int i = 0; i < target.Length; i++)
        {
            target[i] = line[from];
            from += stride;
        }
    }

    private void Check(JpegStructure structure)
    {
        if (
            structure.FrameMarker is not (0xC0 or 0xC1 or 0xC2)
            || info.BitsPerSample != 8
            || info.Bands is not (1 or 3)
        )
        {
            throw structure.FrameMarker == 0 && !structure.IsClosed
                ? CutShort()
                : new InputProblemException(
                    Name,
                    FormattableString.Invariant(
                        $"it is a JPEG of kind {structure.FrameMarker:X2} with {info.Bands} bands of {info.BitsPerSample} bits, which is not read here."
                    ),
                    "Use baseline or progressive JPEG of 8 bits with one or three bands."
                );
        }

        if (!structure.IsClosed || structure.Scans == 0)
        {
            throw CutShort();
        }

        // A block of 64 pixels takes at least one coded bit; four times that for chroma and slack.
        if (info.Rows == 0 || info.Columns == 0 || (long)info.Rows * info.Columns > 2_048L * bytes.Length)
        {
            throw new InputProblemException(
                Name,
                FormattableString.Invariant(
                    $"it claims {info.Rows} rows × {info.Columns} columns but has only {bytes.Length} bytes: it is damaged."
                ),
                "Copy it from the card again, or leave it out."
            );
        }

        if (structure.Scans > MostScans)
        {
            throw new InputProblemException(
                Name,
                FormattableString.Invariant($"it has {structure.Scans} scans, above the limit of {MostScans}."),
                "No camera writes such a file: leave it out."
            );
        }
    }

    private InputProblemException CutShort() =>
        new(
            Name,
            "its closing marker is missing: it is cut short.",
            "Copy it from the card again; if the card's own file is the same, leave it out."
        );

    private InputProblemException Undecodable(Exception? cause) =>
        new(
            Name,
            "its coded picture cannot be decoded: it is damaged.",
            "Copy it from the card again; if the card's own file is the same, leave it out.",
            cause
        );
}
