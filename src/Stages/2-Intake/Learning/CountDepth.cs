using Hillrow.Imaging;

namespace Hillrow.Intake;

/// <summary>How many bits counts have, and where they sit in the stored sample.</summary>
internal static class CountDepth
{
    /// <summary>Low bits of a stored sample that never carry anything.</summary>
    public static int ShiftOf(LearningDesk desk, int band = -1)
    {
        SamplePixels[] pixels = PixelsOf(desk, band);
        int zero = pixels.Where(seen => seen.Largest > 0).Select(seen => seen.LowZeroBits).DefaultIfEmpty(0).Min();
        return pixels[0].Info.BitsPerSample == 16 && zero >= 2 ? Math.Min(zero, 8) : 0;
    }

    /// <summary>Looked at of one band; of all bands when none of it was, or for −1.</summary>
    public static SamplePixels[] PixelsOf(LearningDesk desk, int band)
    {
        SamplePixels[] own = [.. desk.Sample.Pixels.Where(seen => desk.Structure.BandOf[seen.Frame] == band)];
        return own.Length > 0 ? own : [.. desk.Sample.Pixels];
    }

    public static (int Bits, BitPlacement Placement) Of(LearningDesk desk, int band, bool quiet)
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
}
