using Hillrow.Imaging;
using Hillrow.TestSupport;

namespace Hillrow.Intake.Tests;

/// <summary>A two-band camera and cards of flights with it.</summary>
internal static class IntakeCards
{
    public static readonly DateTime Start = new(2026, 3, 14, 10, 0, 0, DateTimeKind.Unspecified);

    public static CameraProfile Profile { get; } =
        CameraProfile.Parse(
            """
            name = "Invented pair"
            referenceBand = "red"
            shortestTriggerIntervalSeconds = 1.0

            [panel]
            marker = "square-1"
            markerSideMetres = 0.05
            [[panel.levels]]
            name = "50 %"
            certificateSigma = 0.005
            cornersMetres = [0.1, 0.1, 0.2, 0.1, 0.2, 0.2, 0.1, 0.2]
            [panel.levels.reflectance]
            red = 0.5
            nir = 0.5


            """
                + CardSpecimen.MetadataMap
                + Band("red", 668)
                + Band("nir", 840),
            "test"
        );

    public static FrameSpecimen Frame(int capture, string band) =>
        new()
        {
            Rows = 6,
            Columns = 8,
            Sample = (row, column) => (100 * capture) + (10 * row) + column + (band == "red" ? 0 : 1000),
            CaptureId = $"C{capture}",
            Band = band,
            Clock = Start.AddSeconds(2 * capture),
            LatitudeDegrees = -12.5 + (0.0001 * capture),
            LongitudeDegrees = -69.2,
            HeightMetres = 1500,
            ExposureSeconds = 0.001,
            Gain = 1,
            Irradiance = 1 + (0.01 * capture),
            AttitudeDegrees = (0, 1, -1),
        };

    /// <summary>A line of captures, files named as given.</summary>
    public static void Fly(
        TestFolder folder,
        int captures,
        Func<int, string, string> name,
        Func<FrameSpecimen, FrameSpecimen> change
    )
    {
        for (int capture = 0; capture < captures; capture++)
        {
            foreach (string band in new[] { "red", "nir" })
            {
                CardSpecimen.Write(folder.At(name(capture, band)), change(Frame(capture, band)));
            }
        }
    }

    private static string Band(string name, int nanometres) =>
        $"""

            [[bands]]
            name = "{name}"
            centreNanometres = {nanometres}.0
            widthNanometres = 20.0
            [bands.sensor]
            columns = 8
            rows = 6
            pixelPitchMicrometres = 3.45
            bitDepth = 12
            [bands.lens]
            focalMillimetres = 5.5
            principalPointPixels = [4.0, 3.0]

            """;
}
