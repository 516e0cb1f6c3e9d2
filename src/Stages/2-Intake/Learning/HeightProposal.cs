using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Intake;

/// <summary>Finds the height, and what it is measured from if anything tells.</summary>
internal static class HeightProposal
{
    /// <summary>Lower values may as well be heights above the take-off.</summary>
    private const double SurelyAbsoluteMetres = 200;

    public static void Make(LearningDesk desk, Channel? third)
    {
        Channel[] named =
        [
            .. desk
                .Channels.Where(one =>
                    one.Rule.Property is { Source: PropertySource.Xmp }
                    && one.IsNumeric
                    && one.ListLength == 1
                    && one.Present > 0.8 * desk.Sample.Frames.Count
                    && (QuantityWords.Score(FrameQuantity.Height, one.Words) >= 1.9 || one.Words is ["level"])
                )
                .OrderByDescending(one => QuantityWords.Score(FrameQuantity.Height, one.Words)),
        ];
        bool standard = desk.Has(PropertyKey.Gps(6));
        Channel? chosen = standard ? null : third ?? named.FirstOrDefault();
        if (!standard && chosen is null)
        {
            desk.Doubt("height", "no property looks like a height.", "height=PLACE");
            return;
        }

        string? doubt = null;
        if (chosen is null)
        {
            desk.Propose(
                FrameQuantity.Height,
                "gps 6",
                new ValueRule { Property = PropertyKey.Gps(6), Letter = PropertyKey.Gps(5) },
                "standard tag",
                null
            );
        }
        else
        {
            double[] values = [.. chosen.Values.Order()];
            double middle = values[values.Length / 2];
            string? told = UnitWords.Told(chosen, QuantityKind.Length);
            doubt =
                middle > 9000 && told is null ? $"{LearningDesk.Text(middle)} is high for metres."
                : middle < SurelyAbsoluteMetres ? $"{LearningDesk.Text(middle)} may be a height above the take-off."
                : third is null && named.Length > 1 && !named[1].Texts.SequenceEqual(chosen.Texts)
                    ? $"{named[1].Place} looks like a height too."
                : null;
            desk.Propose(
                FrameQuantity.Height,
                chosen.Place,
                chosen.Rule with
                {
                    Unit = told ?? "m",
                },
                "by its name and size",
                doubt
            );
        }

        desk.HeightReference = Reference(desk, chosen);
    }

    private static VerticalReference Reference(LearningDesk desk, Channel? chosen)
    {
        if (desk.Answers.Find("heightReference") is { } answer)
        {
            return answer.ToLowerInvariant() switch
            {
                "ellipsoid" => VerticalReference.Ellipsoid,
                "egm96geoid" or "sea" => VerticalReference.Egm96Geoid,
                _ => throw new InputProblemException(
                    $"--answer heightReference={answer}",
                    "is no reference of heights.",
                    "There are: ellipsoid, egm96Geoid."
                ),
            };
        }

        IReadOnlyList<string> words = chosen?.Words ?? [];
        if (words.Any(word => word.StartsWith("ellips", StringComparison.Ordinal) || word is "hae" or "wgs"))
        {
            return VerticalReference.Ellipsoid;
        }

        if (words.Any(word => word is "msl" or "asl" or "amsl" or "sea" or "geoid" or "egm" or "orthometric"))
        {
            return VerticalReference.Egm96Geoid;
        }

        // A text of its own may tell the reference ("AltitudeReference: ellipsoid").
        foreach (
            Channel one in desk.Channels.Where(one =>
                one.Distinct == 1 && one.Rule.Property is { Source: PropertySource.Xmp }
            )
        )
        {
            string text = one.Texts.First(value => value is not null)!.ToLowerInvariant();
            if (
                one.Words.Any(word => word is "reference" or "datum" or "vertical" or "ref" or "mode" or "system")
                && !one.IsNumeric
            )
            {
                if (text.Contains("ellips", StringComparison.Ordinal))
                {
                    return VerticalReference.Ellipsoid;
                }

                if (
                    text.Contains("msl", StringComparison.Ordinal)
                    || text.Contains("sea", StringComparison.Ordinal)
                    || text.Contains("egm96", StringComparison.Ordinal)
                )
                {
                    return VerticalReference.Egm96Geoid;
                }
            }
        }

        desk.Doubt(
            "heightReference",
            "nothing tells whether heights are above sea level or above the ellipsoid (tens of metres apart).",
            "heightReference=ellipsoid|egm96Geoid"
        );
        return VerticalReference.Unknown;
    }
}
