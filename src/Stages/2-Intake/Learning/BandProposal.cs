using System.Globalization;
using Hillrow.Imaging;

namespace Hillrow.Intake;

/// <summary>Makes the profile's bands of what tells them apart.</summary>
internal static class BandProposal
{
    public static IReadOnlyList<CameraBand> Make(LearningDesk desk)
    {
        if (ColourProposal.Fits(desk))
        {
            return ColourProposal.Make(desk);
        }

        FrameStructure structure = desk.Structure;
        double?[] centres = WavelengthProposal.Make(desk, FrameQuantity.CentreWavelength, 380, 15_000);
        double?[] widths = WavelengthProposal.Make(desk, FrameQuantity.BandWidth, 2, 8_000);
        (int[] order, bool numbered) = BandNaming.Order(desk, centres);
        string?[] names = BandNaming.Names(desk, numbered || centres.All(value => value is not null));
        return
        [
            .. order.Select(
                (band, place) =>
                    Band(desk, band, place, names[band], centres[band], widths[band], centres, structure.Bands)
            ),
        ];
    }

    public static CameraBand Made(LearningDesk desk, string name, double centre, double width, int band, int place)
    {
        if (centre > 6000)
        {
            desk.Doubt(
                string.Create(CultureInfo.InvariantCulture, $"band.{place}.thermal"),
                "nothing tells how its counts become a temperature: taken as hundredths of a kelvin.",
                "mend thermal of this band in the profile by hand"
            );
        }

        SamplePixels seen = CountDepth.PixelsOf(desk, band)[0];
        PictureInfo info = seen.Info;
        (int bits, BitPlacement placement) = CountDepth.Of(desk, band, place > 1);
        (double pitch, double focal) = OpticsProposal.Make(desk, info, place == 1);
        double pixels = focal * 1000 / pitch;
        return new CameraBand
        {
            Name = name,
            Kind = centre > 6000 ? BandKind.Thermal : BandKind.Reflective,
            CentreNanometres = centre,
            WidthNanometres = width,
            Sensor = new BandSensor(info.Columns, info.Rows, pitch, bits, placement),
            Lens = new BrownConradyLens(
                info.Rows,
                info.Columns,
                new BrownConradyValues(
                    pixels,
                    pixels,
                    new PixelPoint(info.Columns / 2.0, info.Rows / 2.0),
                    0,
                    0,
                    0,
                    0,
                    0
                )
            ),
            BlackLevel = new BlackLevel(
                desk.Answers.Number("blackLevel.counts") ?? 0,
                desk.Rules.ContainsKey(FrameQuantity.BlackLevel)
            ),
            Thermal = centre > 6000 ? new ThermalScale(0.01, 0, 0.05) : null,
        };
    }

    private static CameraBand Band(
        LearningDesk desk,
        int band,
        int place,
        string? told,
        double? centre,
        double? width,
        double?[] all,
        int count
    )
    {
        string key = string.Create(CultureInfo.InvariantCulture, $"band.{place + 1}");
        (double Nanometres, double Width)? usual = told is null ? null : SpectralNames.Usual(told);
        double? answered = desk.Answers.Number($"{key}.wavelength");
        double middle = answered ?? centre ?? usual?.Nanometres ?? 500 + (60 * place);
        if (centre is null && answered is null)
        {
            desk.Doubt(
                key,
                told is null
                    ? "nothing tells its wavelength."
                    : $"is called {told}, which usually means {LearningDesk.Text(middle)} nm, but nothing tells its wavelength.",
                $"{key}.wavelength=NANOMETRES"
            );
        }

        string name =
            desk.Answers.Find($"{key}.name") ?? told ?? (centre is { } nm ? Distinct(nm, all) : $"band {place + 1}");
        double? span = desk.Answers.Number($"{key}.width") ?? width;
        if (span is null && count > 1)
        {
            desk.Doubt($"{key}.width", "nothing tells how wide it is.", $"{key}.width=NANOMETRES");
        }

        return Made(desk, name, middle, span ?? usual?.Width ?? 20, band, place + 1);
    }

    private static string Distinct(double nanometres, double?[] all)
    {
        string name = SpectralNames.Of(nanometres);
        return all.Count(other => other is { } nm && SpectralNames.Of(nm) == name) > 1
            ? string.Create(CultureInfo.InvariantCulture, $"{name} {nanometres:0.#}")
            : name;
    }
}
