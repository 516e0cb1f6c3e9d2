using Hillrow.Imaging;

namespace Hillrow.Intake;

/// <summary>What tells the bands' wavelengths, centre or width.</summary>
internal static class WavelengthProposal
{
    /// <param name="desk">What is known so far.</param>
    /// <param name="quantity">Centre or width.</param>
    /// <param name="least">Nanometres.</param>
    /// <param name="most">Nanometres.</param>
    /// <returns>Nanometres by band; null where nothing tells.</returns>
    public static double?[] Make(LearningDesk desk, FrameQuantity quantity, double least, double most)
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
}
