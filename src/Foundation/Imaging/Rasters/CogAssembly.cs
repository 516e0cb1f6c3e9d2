using Microsoft.Win32.SafeHandles;

namespace Hillrow.Imaging;

/// <summary>Puts the compressed tiles in a cloud-optimized file's order: header, coarsest level … full resolution.</summary>
internal static class CogAssembly
{
    private const int BufferBytes = 4 << 20;

    /// <summary>Writes the whole file and gives it its name.</summary>
    /// <param name="levels">Finest first.</param>
    /// <param name="scratch">Holds the compressed tiles.</param>
    /// <param name="scratchOffsets">For each level, where in the scratch file each tile lies.</param>
    /// <param name="sizes">For each level, the bytes of each tile.</param>
    public static void Write(
        string path,
        RasterLabel label,
        SampleType type,
        CogLayout layout,
        int predictor,
        IReadOnlyList<PyramidLevel> levels,
        SafeFileHandle scratch,
        long[][] scratchOffsets,
        int[][] sizes
    )
    {
        long[][] offsets = [.. sizes.Select(level => new long[level.Length])];
        bool big = layout.BigTiff == BigTiffUse.Always;
        CogHeader header = new(label, type, layout, predictor, big);
        int headerLength = header.Build(levels, offsets, sizes).Length;
        long length = headerLength + sizes.Sum(level => level.Sum(size => (long)size));
        if (!big && length > uint.MaxValue)
        {
            big = true;
            header = new(label, type, layout, predictor, big);
            int bigHeaderLength = header.Build(levels, offsets, sizes).Length;
            length += bigHeaderLength - headerLength;
            headerLength = bigHeaderLength;
        }

        long next = headerLength;
        for (int level = levels.Count - 1; level >= 0; level--)
        {
            for (int tile = 0; tile < sizes[level].Length; tile++)
            {
                offsets[level][tile] = next;
                next += sizes[level][tile];
            }
        }

        using AtomicFile file = AtomicFile.Create(path, length);
        RandomAccess.Write(file.Handle, header.Build(levels, offsets, sizes), 0);
        Copier copier = new(scratch, file.Handle, headerLength);
        for (int level = levels.Count - 1; level >= 0; level--)
        {
            for (int tile = 0; tile < sizes[level].Length; tile++)
            {
                copier.Append(scratchOffsets[level][tile], sizes[level][tile]);
            }
        }

        copier.Finish();
        file.Place(layout.Durable);
    }

    /// <summary>Copies pieces in a few large reads and writes.</summary>
    private sealed class Copier(SafeFileHandle from, SafeFileHandle to, long start)
    {
        private readonly byte[] buffer = new byte[BufferBytes];
        private long at = start;
        private int filled;
        private long runStart;
        private int runLength;

        public void Append(long offset, int count)
        {
            while (count > 0)
            {
                if (runLength > 0 && offset != runStart + runLength)
                {
                    ReadRun();
                }

                if (filled + runLength == buffer.Length)
                {
                    Finish();
                }

                int part = Math.Min(count, buffer.Length - filled - runLength);
                runStart = runLength == 0 ? offset : runStart;
                runLength += part;
                offset += part;
                count -= part;
            }
        }

        public void Finish()
        {
            ReadRun();
            RandomAccess.Write(to, buffer.AsSpan(0, filled), at);
            at += filled;
            filled = 0;
        }

        private void ReadRun()
        {
            ScratchFile.ReadExactly(from, buffer.AsSpan(filled, runLength), runStart);
            filled += runLength;
            runLength = 0;
        }
    }
}
