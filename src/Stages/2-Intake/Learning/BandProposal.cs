using System.Globalization;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Intake;

/// <summary>Finds what tells the bands apart, and makes the profile's bands.</summary>
internal static class BandProposal
{
    private const double UsualPitchMicrometres = 3.45;

    /// <summary>True when a number or the page gives the bands an order of the camera's own.</summary>
    public static bool OrderIsNatural(LearningDesk desk) =>
        desk.Structure.ByPages || desk.Structure.Bands == 1 || Number(desk) is not null;

    /// <summary>Low bits of a stored sample that never carry anything.</summary>
    public static int ShiftOf(LearningDesk desk, int band = -1)
    {
        SamplePixels[] pixels = PixelsOf(desk, band);
        int zero = pixels.Where(seen => seen.Largest > 0).Select(seen => seen.LowZeroBits).DefaultIfEmpty(0).Min();
        return pixels[0].Info.BitsPerSample == 16 && zero >= 2 ? Math.Min(zero, 8) : 0;
    }

    /// <summary>Looked at of one band; of all bands when none of it was, or for −1.</summary>
    private static SamplePixels[] PixelsOf(LearningDesk desk, int band)
    {
        SamplePixels[] own = [.. desk.Sample.Pixels.Where(seen => desk.Structure.BandOf[seen.Frame] == band)];
        return own.Length > 0 ? own : [.. desk.Sample.Pixels];
    }

    public static IReadOnlyList<CameraBand> Make(LearningDesk desk)
    {
        if (desk.Structure.Bands == 1 && desk.Sample.Pixels[0].Info.Bands == 3)
        {
            return Colours(desk);
        }

        FrameStructure structure = desk.Structure;
        double?[] centres = Wavelengths(desk, FrameQuantity.CentreWavelength, 380, 15_000);
        double?[] widths = Wavelengths(desk, FrameQuantity.BandWidth, 2, 8_000);
        (int[] order, bool numbered) = Order(desk, centres);
        string?[] names = Names(desk, numbered || centres.All(value => value is not null));
        return
        [
            .. order.Select(
                (band, place) =>
                    Band(desk, band, place, names[band], centres[band], widths[band], centres, structure.Bands)
            ),
        ];
    }

    private static CameraBand[] Colours(LearningDesk desk)
    {
        desk.Doubt(
            "bands",
            "a colour camera's red, green and blue overlap and are processed in the camera: its colours are not reflectance.",
            "bands=yes"
        );
        string[] names = ["red", "green", "blue"];
        double[] centres = [610, 540, 460];
        return [.. names.Select((name, at) => Made(desk, name, centres[at], 80, 0, at + 1))];
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

    private static CameraBand Made(LearningDesk desk, string name, double centre, double width, int band, int place)
    {
        if (centre > 6000)
        {
            desk.Doubt(
                string.Create(CultureInfo.InvariantCulture, $"band.{place}.thermal"),
                "nothing tells how its counts become a temperature: taken as hundredths of a kelvin.",
                "mend thermal of this band in the profile by hand"
            );
        }

        SamplePixels seen = PixelsOf(desk, band)[0];
        PictureInfo info = seen.Info;
        (int bits, BitPlacement placement) = Bits(desk, band, place > 1);
        (double pitch, double focal) = Optics(desk, info, place == 1);
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

    private static (int Bits, BitPlacement Placement) Bits(LearningDesk desk, int band, bool quiet)
    {
        SamplePixels[] pixels = PixelsOf(desk, band);
        int stored = pixels[0].Info.BitsPerSample;
        if (stored < 16)
        {
            return (Math.Max(stored, 8), BitPlacement.Low);
        }

        int shift = ShiftOf(desk, band);
        int largest = pixels.Max(seen => seen.Largest);
        Channel? named = LightProposal
            .Named(
                desk,
                FrameQuantity.Bits,
                1.4,
                one =>
                    one.IsNumeric
                    && desk.Structure.SameWithinBand(one) > 0.99
                    && one.Values.All(value => value is >= 8 and <= 16)
            )
            .Best;
        double? white = desk
            .Channels.FirstOrDefault(one => one.Rule.Property == PropertyKey.Tiff(50717))
            ?.Values.FirstOrDefault();
        int? told =
            (int?)desk.Answers.Number("bits")
            ?? (
                named is null
                    ? null
                    : (int?)desk.Structure.NumbersPerBand(named)[Math.Min(band, desk.Structure.Bands - 1)]
            )
            ?? (
                white is { } level && level > 255
                    ? (int)Math.Ceiling(Math.Log2(level + 1)) - (shift > 0 ? shift : 0)
                    : null
            );
        if (named is not null && !quiet)
        {
            desk.Propose(FrameQuantity.Bits, named.Place, named.Rule, "by its name and value", null);
        }

        if (told is { } bits)
        {
            bool high = bits < 16 && largest >= 1 << bits;
            if (high && shift < 16 - bits && !quiet)
            {
                desk.Doubt("bits", $"{bits} bits are told, but samples reach {largest}.", "bits=NUMBER");
            }

            return (Math.Clamp(bits, 8, 16), high ? BitPlacement.High : BitPlacement.Low);
        }

        if (shift > 0)
        {
            return (16 - shift, BitPlacement.High);
        }

        int guess =
            largest > 16_383 ? 16
            : largest > 4095 ? 14
            : largest > 1023 ? 12
            : 10;
        if (guess < 16 && !quiet)
        {
            desk.Doubt("bits", $"nothing tells how many bits counts have; the largest seen is {largest}.", "bits=8…16");
        }

        return (guess, BitPlacement.Low);
    }

    private static (double Pitch, double Focal) Optics(LearningDesk desk, PictureInfo info, bool tell)
    {
        double? Exif(int tag) =>
            desk
                .Channels.FirstOrDefault(one => one.Rule.Property == PropertyKey.Exif(tag))
                ?.Values.Cast<double?>()
                .FirstOrDefault();
        double? focal = desk.Answers.Number("focalLength") ?? Exif(37386);
        if (
            focal is null
            && LightProposal.Named(desk, FrameQuantity.FocalLength, 1.9, one => one.IsNumeric).Best is { } length
        )
        {
            string? told = UnitWords.Told(length, QuantityKind.Length);
            focal =
                length.Values.First() * (told is null ? 1 : MetadataUnit.Find(QuantityKind.Length, told)!.Scale * 1000);
            if (told is null && tell)
            {
                desk.Doubt("focalLength", $"{length.Place} is taken to be in millimetres.", "focalLength=MILLIMETRES");
            }
        }

        double? perUnit = Exif(41486);
        double unit = Exif(41488) switch
        {
            3 => 10_000,
            4 => 1000,
            5 => 1,
            _ => 25_400,
        };
        double? pitch = desk.Answers.Number("pixelPitch") ?? (perUnit is > 0 ? unit / perUnit : null);
        if (
            pitch is null
            && desk.Channels.FirstOrDefault(one =>
                one.IsNumeric && one.Words.Contains("pixel") && one.Words.Any(word => word is "pitch" or "size")
            )
                is { } told2
            && told2.Values.First() is > 0.5 and < 60
        )
        {
            pitch = told2.Values.First();
        }

        if (focal is { } f && pitch is null && Exif(41989) is > 0 and { } film)
        {
            pitch = f * 36 / film / info.Columns * 1000;
        }

        if (pitch is null && tell)
        {
            desk.Doubt("pixelPitch", "nothing tells the size of a pixel on the sensor.", "pixelPitch=MICROMETRES");
        }

        if (focal is null && tell)
        {
            desk.Doubt("focalLength", "nothing tells the focal length.", "focalLength=MILLIMETRES");
        }

        double size = pitch is > 0.1 and < 1000 ? pitch.Value : UsualPitchMicrometres;
        return (size, focal is > 0.1 and < 5000 ? focal.Value : info.Columns * size / 1000);
    }

    private static double?[] Wavelengths(LearningDesk desk, FrameQuantity quantity, double least, double most)
    {
        FrameStructure structure = desk.Structure;
        bool centre = quantity == FrameQuantity.CentreWavelength;
        foreach (
            Channel one in desk
                .Channels.Where(one =>
                    one.IsNumeric
                    && one.ListLength == 1
                    && (!centre || one.Distinct == structure.Bands)
                    && structure.SameWithinBand(one) > 0.999
                    && (one.Rule.Property is { Source: PropertySource.Xmp } || (centre && one.UnitText == "nm"))
                    && one.Present > 0.95 * desk.Sample.Frames.Count
                )
                .OrderByDescending(one => QuantityWords.Score(quantity, one.Words) + (one.UnitText == "nm" ? 1 : 0))
        )
        {
            double score = QuantityWords.Score(quantity, one.Words);
            string? told = UnitWords.Told(one, QuantityKind.Length);
            double largest = one.Values.Max();
            string unit =
                told is "um" or "nm" ? told
                : largest < (centre ? 16 : 0.9) ? "um"
                : "nm";
            double scale = unit == "um" ? 1000 : 1;
            // Small whole numbers count bands; no band stands at exactly 1, 2, 3 µm.
            bool inRange =
                one.Values.All(value => value * scale >= least && value * scale <= most)
                && (unit == "nm" || told == "um" || one.Values.Any(value => value != Math.Floor(value)));
            if (
                !inRange
                || (
                    score < (centre ? 0.7 : 1.4)
                    && one.UnitText != "nm"
                    && !(centre && structure.IsBandLabel(one) && score > -0.5)
                )
            )
            {
                continue;
            }

            if (!centre && QuantityWords.Score(FrameQuantity.CentreWavelength, one.Words) > score)
            {
                continue;
            }

            bool byName = score >= 0.7 || one.UnitText == "nm";
            desk.Propose(
                quantity,
                one.Place,
                one.Rule with
                {
                    Unit = unit,
                },
                byName ? "by its name and values" : "one value a band, each a wavelength of light",
                byName ? null : "its name does not speak of wavelengths."
            );
            return
            [
                .. structure
                    .NumbersPerBand(one)
                    .Select(value => value is { } number ? Math.Round(number * scale, 6) : (double?)null),
            ];
        }

        return new double?[Math.Max(structure.Bands, 1)];
    }

    private static Channel? Number(LearningDesk desk) =>
        desk
            .Channels.Where(one =>
                one.IsNumeric
                && one.ListLength == 1
                && (one.Rule.Property is null or { Source: PropertySource.Xmp })
                && desk.Structure.IsBandLabel(one)
                && one.Values.Distinct().Order().ToArray() is var values
                && values[0] is 0 or 1
                && values.SequenceEqual(Enumerable.Range((int)values[0], desk.Structure.Bands).Select(n => (double)n))
            )
            .OrderByDescending(one =>
                (one.Rule.Property is null ? 0.5 : 0) + QuantityWords.Score(FrameQuantity.BandNumber, one.Words)
            )
            .FirstOrDefault();

    private static (int[] Order, bool Numbered) Order(LearningDesk desk, double?[] centres)
    {
        int bands = desk.Structure.Bands;
        int[] plain = [.. Enumerable.Range(0, bands)];
        if (bands == 1)
        {
            return (plain, true);
        }

        if (!desk.Structure.ByPages && Number(desk) is { } number)
        {
            double least = number.Values.Min();
            desk.Propose(
                FrameQuantity.BandNumber,
                number.Place,
                number.Rule with
                {
                    Offset = 1 - least,
                },
                least == 0 ? "counts the bands from 0" : "counts the bands",
                null
            );
            double?[] numbers = desk.Structure.NumbersPerBand(number);
            return ([.. plain.OrderBy(band => numbers[band])], true);
        }

        return desk.Structure.ByPages ? (plain, true) : ([.. plain.OrderBy(band => centres[band] ?? band)], false);
    }

    private static string?[] Names(LearningDesk desk, bool told)
    {
        FrameStructure structure = desk.Structure;
        Channel? named = desk
            .Channels.Where(one =>
                structure.IsBandLabel(one)
                && !one.IsNumeric
                && one.ListLength == 1
                && (
                    one.Rule.Property is null
                    || QuantityWords.Score(FrameQuantity.BandName, one.Words) >= 1.2
                    || structure.PerBand(one).All(text => SpectralNames.Usual(text!) is not null)
                )
            )
            .OrderByDescending(one =>
                structure.PerBand(one).Count(text => SpectralNames.Usual(text!) is not null)
                + (one.Rule.Property is null ? 0 : 0.5)
            )
            .FirstOrDefault();
        if (structure.Bands > 1 && named is not null)
        {
            bool words = structure.PerBand(named).All(text => SpectralNames.Usual(text!) is not null);
            if (words || !told)
            {
                desk.Propose(FrameQuantity.BandName, named.Place, named.Rule, "one word a band", null);
                return structure.PerBand(named);
            }
        }

        if (structure.Bands > 1 && !told)
        {
            Channel? label = structure.BandChannel;
            if (label is null)
            {
                desk.Doubt("bandName", "nothing tells the bands apart.", "bandName=PLACE");
                return new string?[structure.Bands];
            }

            desk.Propose(
                FrameQuantity.BandName,
                label.Place,
                label.Rule,
                "one value a band",
                "it only labels the bands."
            );
            return structure.PerBand(label);
        }

        if (structure.Bands == 1)
        {
            desk.Doubt("bands", "all files look alike: taken as a camera of one band.", "bandName=PLACE");
        }

        return new string?[structure.Bands];
    }
}
