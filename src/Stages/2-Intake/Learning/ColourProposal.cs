using Hillrow.Imaging;

namespace Hillrow.Intake;

/// <summary>Bands of a colour camera, whose pictures hold red, green and blue.</summary>
internal static class ColourProposal
{
    private static readonly string[] Names = ["red", "green", "blue"];

    /// <summary>Where the three colours of most cameras are most sensitive (common practice); they are some 80 nm wide.</summary>
    private static readonly double[] CentresNanometres = [610, 540, 460];

    private const double WidthNanometres = 80;

    private const int ResponseStep = 5;

    public static bool Fits(LearningDesk desk) =>
        desk.Structure.Bands == 1 && desk.Sample.Pixels[0].Info is { Bands: 3, IsCounts: true };

    public static IReadOnlyList<CameraBand> Make(LearningDesk desk)
    {
        desk.Doubt(
            "bands",
            "a colour camera's red, green and blue overlap and are processed in the camera: its colours are not reflectance. A map of them can be made.",
            "bands=yes"
        );
        bool eightBits = desk.Sample.Pixels[0].Info.BitsPerSample == 8;
        if (eightBits)
        {
            desk.Doubt(
                "response",
                "colours of 8 bits are taken as coded by sRGB.",
                "mend response of the bands in the profile by hand"
            );
        }

        return
        [
            .. Names.Select(
                (name, plane) =>
                    BandProposal.Made(desk, name, CentresNanometres[plane], WidthNanometres, 0, plane + 1) with
                    {
                        Plane = plane,
                        Response = eightBits ? StandardCoding() : null,
                    }
            ),
        ];
    }

    /// <summary>Counts to light by the colour coding of IEC 61966-2-1 (sRGB), of 8 bits.</summary>
    private static ResponseTable StandardCoding()
    {
        double[] counts =
        [
            .. Enumerable.Range(0, (255 / ResponseStep) + 1).Select(step => (double)step * ResponseStep),
        ];
        return new ResponseTable(
            counts,
            [
                .. counts.Select(count =>
                {
                    double share = count / 255;
                    return Math.Round(
                        255 * (share <= 0.04045 ? share / 12.92 : Math.Pow((share + 0.055) / 1.055, 2.4)),
                        4
                    );
                }),
            ]
        );
    }
}
