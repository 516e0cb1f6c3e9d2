using Hillrow.Imaging;

namespace Hillrow.Intake;

/// <summary>Finds exposure, gain, black level and irradiance, and judges their units by size.</summary>
internal static class LightProposal
{
    public static void Make(LearningDesk desk)
    {
        Exposure(desk);
        Gain(desk);
        Black(desk);
        Irradiance(desk);
    }

    /// <summary>The best-named channel, and a line when another is nearly as well named but tells something else.</summary>
    public static (Channel? Best, string? Doubt) Named(
        LearningDesk desk,
        FrameQuantity quantity,
        double least,
        Func<Channel, bool> fits
    )
    {
        Channel[] ranked =
        [
            .. desk
                .Channels.Where(one =>
                    one.Rule.Property is { Source: PropertySource.Xmp }
                    && one.Rule.Item <= 1
                    && QuantityWords.Score(quantity, one.Words) >= least
                    && fits(one)
                )
                .OrderByDescending(one => QuantityWords.Score(quantity, one.Words)),
        ];
        if (ranked.Length == 0)
        {
            return (null, null);
        }

        Channel? rival = ranked
            .Skip(1)
            .FirstOrDefault(one =>
                QuantityWords.Score(quantity, ranked[0].Words) - QuantityWords.Score(quantity, one.Words) < 0.9
                && !one.Texts.SequenceEqual(ranked[0].Texts)
            );
        return (ranked[0], rival is null ? null : $"{rival.Place} may be meant as well.");
    }

    private static void Exposure(LearningDesk desk)
    {
        (Channel? named, string? doubt) = Named(
            desk,
            FrameQuantity.Exposure,
            1.4,
            one => one.IsNumeric && one.Values.All(value => value > 0)
        );
        foreach ((int tag, NumberForm form) in new[] { (33434, NumberForm.Any), (37377, NumberForm.ApexTime) })
        {
            Channel? standard = desk.Channels.FirstOrDefault(one =>
                one.Rule.Property == PropertyKey.Exif(tag) && one.IsNumeric
            );
            if (standard is not null && (named is null || named.Distinct <= standard.Distinct))
            {
                double middle = Middle(standard);
                double seconds = form == NumberForm.ApexTime ? Math.Pow(2, -middle) : middle;
                desk.Propose(
                    FrameQuantity.Exposure,
                    standard.Place,
                    standard.Rule with
                    {
                        Form = form,
                        Unit = "s",
                    },
                    "standard tag",
                    seconds is > 5e-6 and < 0.5 ? null : $"{LearningDesk.Text(seconds)} s is no exposure in daylight."
                );
                return;
            }
        }

        if (named is null)
        {
            desk.Doubt(
                "exposure",
                "no property looks like an exposure time.",
                "exposure=PLACE and exposure.unit=s|ms|us"
            );
            return;
        }

        double size = Middle(named);
        string? told = UnitWords.Told(named, QuantityKind.Duration);
        // Exposures in daylight from a moving aircraft last 20 µs to 20 ms; where two units fit, nothing is sure.
        (string unit, string? open) = size switch
        {
            < 5e-6 => ("s", "too short for any unit of time."),
            <= 0.02 => ("s", null),
            <= 0.06 => ("ms", "milliseconds or seconds?"),
            <= 20 => ("ms", null),
            <= 60 => ("us", "microseconds or milliseconds?"),
            <= 20_000 => ("us", null),
            <= 60_000 => ("us", "nanoseconds or microseconds?"),
            _ => ("ns", null),
        };
        desk.Propose(
            FrameQuantity.Exposure,
            named.Place,
            named.Rule with
            {
                Unit = told ?? unit,
            },
            told is null ? $"middle {LearningDesk.Text(size)}: {unit} by size" : $"unit told: {told}",
            doubt ?? (told is null ? open : null)
        );
    }

    private static void Gain(LearningDesk desk)
    {
        (Channel? named, string? doubt) = Named(desk, FrameQuantity.Gain, 1.9, one => one.IsNumeric);
        Channel? iso = desk.Channels.FirstOrDefault(one => one.Rule.Property == PropertyKey.Exif(34855));
        if (iso is not null)
        {
            desk.Propose(FrameQuantity.Iso, iso.Place, iso.Rule, "standard tag", null);
        }
        else if (
            Named(desk, FrameQuantity.Iso, 1.9, one => one.IsNumeric && one.Values.All(value => value >= 10)).Best is
            { } sensitivity
        )
        {
            desk.Propose(FrameQuantity.Iso, sensitivity.Place, sensitivity.Rule, "by its name", null);
            iso = sensitivity;
        }

        if (named is null)
        {
            if (iso is null)
            {
                desk.Doubt(
                    "gain",
                    "no property looks like a gain; it is taken as the same in all frames.",
                    "gain=PLACE|none"
                );
            }

            return;
        }

        string? told = UnitWords.Told(named, QuantityKind.Amplification);
        double[] values = [.. named.Values.Distinct()];
        bool decibels = values.Any(value => value <= 0);
        bool powers = values.All(value =>
            value >= 1 && Math.Abs(Math.Log2(value) - Math.Round(Math.Log2(value))) < 1e-9
        );
        string? open =
            values.All(value => value == 0) ? null
            : decibels ? null
            : powers ? null
            : values.Max() > 40
                ? $"{LearningDesk.Text(values.Max())} is large for a gain: a factor, decibels or an ISO number?"
            : "a factor or decibels?";
        desk.Propose(
            FrameQuantity.Gain,
            named.Place,
            named.Rule with
            {
                Unit = told ?? (decibels ? "dB" : "1"),
            },
            told is not null ? $"unit told: {told}"
                : decibels ? "has zeros: decibels"
                : "a factor by size",
            doubt ?? (told is null ? open : null)
        );
    }

    private static void Black(LearningDesk desk)
    {
        int smallest = desk.Sample.Pixels.Min(seen => seen.Smallest);
        Channel? standard = desk.Channels.FirstOrDefault(one => one.Rule.Property == PropertyKey.Tiff(50714));
        (Channel? named, string? doubt) = Named(desk, FrameQuantity.BlackLevel, 1.9, one => one.IsNumeric);
        Channel? chosen = standard ?? named;
        if (chosen is null)
        {
            if (desk.Answers.Number("blackLevel.counts") is null)
            {
                desk.Doubt(
                    "blackLevel",
                    $"nothing tells the counts of a dark frame; the smallest count seen is {smallest}.",
                    "blackLevel.counts=NUMBER"
                );
            }

            return;
        }

        int shift = CountDepth.ShiftOf(desk);
        bool stored = shift > 0 && chosen.Values.Max() > 0.2 * (65536 >> shift);
        desk.Propose(
            FrameQuantity.BlackLevel,
            chosen.Place,
            (chosen.ListLength > 1 ? chosen.WholeList : chosen.Rule) with
            {
                Scale = stored ? 1.0 / (1 << shift) : 1,
            },
            standard is null ? "by its name" : "standard tag",
            (standard is null ? doubt : null)
                ?? (stored ? "so large that it is taken to be in stored samples, not in counts." : null)
        );
    }

    private static void Irradiance(LearningDesk desk)
    {
        int bands = Math.Max(desk.Structure.Bands, 1);
        (Channel? named, string? doubt) = Named(
            desk,
            FrameQuantity.Irradiance,
            1.4,
            one =>
                one.IsNumeric && one.Values.All(value => value >= 0) && (one.ListLength == 1 || one.ListLength == bands)
        );
        if (named is null)
        {
            desk.Doubt("irradiance", "no property looks like an irradiance reading.", "irradiance=PLACE|none");
            return;
        }

        bool list = named.ListLength > 1;
        string? told = UnitWords.Told(named, QuantityKind.SpectralIrradiance);
        double largest = named.Values.Max();
        string likely = largest switch
        {
            <= 3 => "W/m2/nm",
            <= 300 => "uW/cm2/nm",
            <= 3000 => "mW/m2/nm",
            _ => "relative",
        };
        string? open =
            named.Distinct == 1 && desk.Structure.Captures > 3 ? "it never changes."
            : told is null
                ? $"its unit is not told; by its size ({LearningDesk.Text(largest)}) it may be {likely}, or without unit."
            : null;
        string? order =
            list && !BandNaming.OrderIsNatural(desk)
                ? "the list's order of bands is taken to be that of the profile, but nothing tells it."
                : null;
        desk.Propose(
            FrameQuantity.Irradiance,
            named.Place,
            (list ? named.WholeList : named.Rule) with
            {
                Unit = told ?? likely,
            },
            told is null ? "by its name" : $"unit told: {named.UnitText}",
            doubt ?? open ?? order
        );
    }

    private static double Middle(Channel channel)
    {
        double[] values = [.. channel.Values.Order()];
        return values[values.Length / 2];
    }
}
