using Hillrow.Imaging;
using Hillrow.TestSupport;

namespace Hillrow.Validation.Ground;

/// <summary>TIFF and BigTIFF directories and every value in them.</summary>
public sealed class TiffDirectoryReader : ReaderUnderMutation
{
    public override string Name => "TIFF directories";

    public override IReadOnlyList<SampleFile> Seeds() =>
        [
            .. from bigEndian in new[] { false, true }
            from bigTiff in new[] { false, true }
            select new SampleFile(
                $"directories-{(bigEndian ? "mm" : "ii")}{(bigTiff ? "-big" : "")}.tif",
                Specimen(bigEndian, bigTiff)
            ),
        ];

    public override IReadOnlyList<SampleFile> BadFiles() =>
        [
            new("circle.tif", [.. "II*\0"u8, 8, 0, 0, 0, 1, 0, 0, 1, 3, 0, 1, 0, 0, 0, 5, 0, 0, 0, 8, 0, 0, 0]),
            new(
                "absurd-count.tif",
                [.. "II*\0"u8, 8, 0, 0, 0, 1, 0, 0, 1, 3, 0, 255, 255, 255, 255, 5, 0, 0, 0, 0, 0, 0, 0]
            ),
            new("no-directory.tif", [.. "II*\0"u8, 0, 0, 0, 0]),
            new("far-directory.tif", [.. "MM\0*"u8, 255, 255, 255, 240]),
        ];

    public override void Read(byte[] bytes, string path)
    {
        using TiffFile file = TiffFile.Open(bytes, path);
        foreach (TiffDirectory page in file.Directories)
        {
            ReadAll(page);
            foreach (TiffDirectory? child in new[] { page.Exif(), page.Gps() }.Concat(page.SubDirectories()))
            {
                if (child is not null)
                {
                    ReadAll(child);
                }
            }
        }
    }

    private static void ReadAll(TiffDirectory directory)
    {
        foreach (TiffEntry entry in directory.Entries)
        {
            _ = entry.ReadBytes();
            _ = entry.IsText ? entry.ReadTexts().Length : entry.ReadDoubles().Length;
        }
    }

    private static byte[] Specimen(bool bigEndian, bool bigTiff)
    {
        TiffSpecimen specimen = new(bigEndian, bigTiff);
        SpecimenDirectory page = specimen.AddPage();
        page.Short(256, 4).Short(257, 2).Short(258, 16).Text(270, "Upper terrace").Rational(282, (72, 1));
        page.Double(33550, 0.5, 0.5, 0).Directory(34665, new SpecimenDirectory().Rational(33434, (1, 250)));
        page.Directory(34853, new SpecimenDirectory().Text(1, "S").Rational(2, (11, 1), (30, 1), (4512, 100)));
        page.Blocks.Add(new byte[16]);
        specimen.AddPage().Short(256, 1, 2, 3).Float(50000, 1, 2).SignedLong(50001, -4);
        return specimen.ToBytes();
    }
}
