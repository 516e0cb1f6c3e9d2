using Hillrow.Imaging;

namespace Hillrow.Intake;

/// <summary>What names or numbers the bands, and the order they come in.</summary>
internal static class BandNaming
{
    /// <summary>True when a number or the page gives the bands an order of the camera's own.</summary>
    public static bool OrderIsNatural(LearningDesk desk) =>
        desk.Structure.ByPages || desk.Structure.Bands == 1 || Number(desk) is not null;

    public static (int[] Order, bool Numbered) Order(LearningDesk desk, double?[] centres)
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

    public static string?[] Names(LearningDesk desk, bool told)
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
}
