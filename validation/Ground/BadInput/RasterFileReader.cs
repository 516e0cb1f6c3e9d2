using System.Buffers.Binary;
using System.Numerics;
using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.TestSupport;

namespace Hillrow.Validation.Ground;

/// <summary>Rasters, every level and band of them.</summary>
public sealed class RasterFileReader : ReaderUnderMutation
{
    public override string Name => "rasters";

    public override IReadOnlyList<SampleFile> Seeds() =>
        [
            new("deflate.tif", Written<float>(new CogLayout { TileSize = 16 })),
            new("pixels.tif", Written<ushort>(new CogLayout { TileSize = 16, PixelInterleaved = true })),
            new("big.tif", Written<int>(new CogLayout { TileSize = 32, BigTiff = BigTiffUse.Always })),
            new("plain.tif", Written<byte>(new CogLayout { TileSize = 16, Codec = RasterCodec.None })),
        ];

    public override IReadOnlyList<SampleFile> BadFiles() =>
        [
            new("absurd-rows.tif", Changed(TiffTags.ImageLength, 2_000_000_000)),
            new("absurd-tile.tif", Changed(TiffTags.TileWidth, 65_520)),
            new("unknown-codec.tif", Changed(TiffTags.Compression, 34_925)),
            new("no-columns.tif", Changed(TiffTags.ImageWidth, 0)),
        ];

    public override void Read(byte[] bytes, string path)
    {
        const int mostCells = 1 << 20;
        using RasterFile file = RasterFile.Open(bytes, path);
        _ = file.TryGrid();
        for (int level = 0; level < file.Levels.Count; level++)
        {
            RasterLevel of = file.Levels[level];
            int rows = Math.Min(of.Rows, 1024);
            RasterWindow window = new(of.Rows - rows, 0, rows, Math.Min(of.Columns, mostCells / rows));
            float[] cells = new float[window.CellCount];
            for (int band = 0; band < Math.Min(of.BandCount, 8); band++)
            {
                file.ReadTrueValues(level, band, window, cells);
            }
        }
    }

    private static byte[] Written<T>(CogLayout layout)
        where T : unmanaged, INumber<T>
    {
        RasterLabel label = new(
            new GridGeometry(ReferenceSystem.Utm(19, false), new GridPoint(412_000, 6_241_000), 0.05, 45, 37),
            [new BandLabel("red", "", 0.5, 1), new BandLabel("height", "m")]
        )
        {
            NoData = 3,
            Heights = VerticalReference.Egm96Geoid,
        };
        Raster<T> raster = new(label);
        Random random = new(3);
        for (int band = 0; band < 2; band++)
        {
            foreach (ref T cell in raster.Band(band))
            {
                cell = T.CreateChecked(random.Next(100));
            }
        }

        string path = Path.GetTempFileName();
        try
        {
            Cog.Write(path, raster, layout with { Durable = false }, threads: 1);
            return File.ReadAllBytes(path);
        }
        finally
        {
            File.Delete(path);
        }
    }

    /// <summary>A file of ours with the first value of one tag of the first directory overwritten.</summary>
    private static byte[] Changed(int tag, uint value)
    {
        byte[] bytes = Written<byte>(new CogLayout { TileSize = 16 });
        int entries = BinaryPrimitives.ReadUInt16LittleEndian(bytes.AsSpan(8));
        for (int entry = 0; entry < entries; entry++)
        {
            Span<byte> at = bytes.AsSpan(10 + (12 * entry), 12);
            if (BinaryPrimitives.ReadUInt16LittleEndian(at) == tag)
            {
                BinaryPrimitives.WriteUInt32LittleEndian(at[8..], value);
                return bytes;
            }
        }

        throw new InvalidOperationException($"No tag {tag}.");
    }
}
