using Hillrow.Imaging;
using Hillrow.TestSupport;
using Hillrow.Validation.Ground;

namespace Hillrow.Validation.Intake;

/// <summary>Good files to be damaged: one of every dialect that was flown, cut to a few rows, and JPEGs with EXIF and XMP.</summary>
internal static class MutationSeeds
{
    private const int KeptRows = 8;

    /// <param name="flown">Flights whose cards give the TIFF files.</param>
    /// <param name="scratch">For the cutting.</param>
    public static List<(CameraProfile Profile, SampleFile File)> All(IEnumerable<FlownCard> flown, string scratch)
    {
        List<(CameraProfile, SampleFile)> seeds = [];
        foreach (FlownCard card in flown.DistinctBy(card => card.Dialect.Name))
        {
            CameraProfile full = CameraProfile.Load(card.ProfileFile);
            string file = card.Dialect.FilesOf(5)[^1];
            string cut = Path.Combine(scratch, Path.GetFileName(file));
            File.Copy(Path.Combine(card.CardFolder, file), cut);
            CardFileEdit.Do(cut, edit => edit.CutTo(KeptRows));
            seeds.Add(
                (
                    full with
                    {
                        Bands =
                        [
                            .. full.Bands.Select(band => band with { Sensor = band.Sensor with { Rows = KeptRows } }),
                        ],
                    },
                    new SampleFile(file, File.ReadAllBytes(cut))
                )
            );
        }

        TiffSpecimen exif = new(false, false);
        exif.AddPage().Long(256, JpegSpecimen.Columns).Long(257, JpegSpecimen.Rows);
        byte[] block = exif.ToBytes();
        CameraProfile grey = CameraProfile.Parse(Profile, "mutation seeds");
        seeds.Add(
            (grey, new SampleFile("grey.jpg", JpegSpecimen.With(JpegSpecimen.Grey(), block, XmpPacketReader.Packet)))
        );
        seeds.Add(
            (
                grey,
                new SampleFile(
                    "colours.jpg",
                    JpegSpecimen.With(JpegSpecimen.ProgressiveColours(), block, XmpPacketReader.Packet)
                )
            )
        );
        return seeds;
    }

    private const string Profile = """
        name = "Invented grey"
        referenceBand = "grey"
        shortestTriggerIntervalSeconds = 1.0

        [metadata.namespaces]
        rig = "urn:example:rig"
        [metadata.gain]
        xmp = "rig:Gain"
        [metadata.yaw]
        xmp = "rig:Light/Yaw"
        [metadata.latitude]
        gps = 2
        [metadata.exposure]
        exif = 33434

        [[bands]]
        name = "grey"
        centreNanometres = 600.0
        widthNanometres = 100.0
        [bands.sensor]
        columns = 24
        rows = 16
        pixelPitchMicrometres = 3.0
        bitDepth = 8
        [bands.lens]
        focalMillimetres = 5.5
        principalPointPixels = [12.0, 8.0]

        """;
}
