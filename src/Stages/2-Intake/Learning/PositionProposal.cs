using System.Globalization;
using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Intake;

/// <summary>Finds latitude, longitude, height and their errors; judges units by how far the aircraft moves.</summary>
internal static class PositionProposal
{
    private const double MetresPerDegree = 111_320;
    private static readonly string[] PlaceWords =
    [
        "where",
        "position",
        "location",
        "gps",
        "gnss",
        "place",
        "coordinates",
        "coordinate",
        "coord",
        "latlon",
        "lla",
        "geo",
        "point",
        "pos",
    ];

    public static void Make(LearningDesk desk)
    {
        bool standard = desk.Has(PropertyKey.Gps(2)) && desk.Has(PropertyKey.Gps(4));
        (Channel? latitude, Channel? longitude, Channel? height, string? order) = FromXmp(desk);
        if (standard)
        {
            desk.Propose(FrameQuantity.Latitude, "gps 2", Tag(2, 1), "standard tag", Missing(desk, 1));
            desk.Propose(FrameQuantity.Longitude, "gps 4", Tag(4, 3), "standard tag", Missing(desk, 3));
        }
        else if (latitude is null || longitude is null)
        {
            desk.Doubt("latitude", "no property looks like a position.", "latitude=PLACE and longitude=PLACE");
        }
        else
        {
            Propose(desk, latitude, longitude, order);
        }

        HeightProposal.Make(desk, height);
        foreach (FrameQuantity sigma in new[] { FrameQuantity.HorizontalSigma, FrameQuantity.VerticalSigma })
        {
            Sigma(desk, sigma);
        }
    }

    /// <summary>Places of each trigger under the rules found so far; null where unknown.</summary>
    public static (double Latitude, double Longitude)?[] Places(LearningDesk desk)
    {
        MetadataMap map = new()
        {
            Values = desk
                .Rules.Where(rule => rule.Key is FrameQuantity.Latitude or FrameQuantity.Longitude)
                .ToDictionary(rule => rule.Key, rule => rule.Value),
        };
        return
        [
            .. desk.PerCapture(map)
                .Select(one =>
                    one is { Latitude: { } latitude, Longitude: { } longitude }
                        ? ((double, double)?)(latitude.Degrees, longitude.Degrees)
                        : null
                ),
        ];
    }

    private static ValueRule Tag(int tag, int letter) =>
        new() { Property = PropertyKey.Gps(tag), Letter = PropertyKey.Gps(letter) };

    private static string? Missing(LearningDesk desk, int letter) =>
        desk.Has(PropertyKey.Gps(letter)) ? null : "the hemisphere letter is missing: taken as north or east.";

    private static (Channel? Latitude, Channel? Longitude, Channel? Height, string? Order) FromXmp(LearningDesk desk)
    {
        Channel[] xmp =
        [
            .. desk.Channels.Where(one =>
                one.Rule.Property is { Source: PropertySource.Xmp } && one.Present > 0.8 * desk.Sample.Frames.Count
            ),
        ];
        Channel? Best(FrameQuantity quantity) =>
            xmp.Where(one =>
                    one.ListLength == 1 && QuantityWords.Score(quantity, one.Words) >= 1.9 && !one.Words.Contains("ref")
                )
                .MaxBy(one => QuantityWords.Score(quantity, one.Words));
        Channel? latitude = Best(FrameQuantity.Latitude);
        Channel? longitude = Best(FrameQuantity.Longitude);
        if (latitude is not null && longitude is not null)
        {
            return (latitude, longitude, null, null);
        }

        foreach (
            Channel first in xmp.Where(one =>
                one.ListLength is 2 or 3 or 4
                && one.Rule.Item == 1
                && one.Words.Any(PlaceWords.Contains)
                && !QuantityWords.IsLight(one.Words)
            )
        )
        {
            Channel[] items =
            [
                .. xmp.Where(one => one.Rule.Property == first.Rule.Property).OrderBy(one => one.Rule.Item),
            ];
            if (
                items.Length < 2
                || items[0].Values.Any(v => Math.Abs(v) > 360)
                || items[1].Values.Any(v => Math.Abs(v) > 360)
            )
            {
                continue;
            }

            bool longitudeFirst =
                items[0].Values.Any(value => Math.Abs(value) > 90)
                || (first.Words.Contains("lonlat") || first.Words.Contains("xyz"));
            bool sure =
                items.Take(2).Any(item => item.Values.Any(value => Math.Abs(value) > 90))
                || first.Words.Any(word => word is "latlon" or "lla");
            string? order = sure
                ? null
                : string.Create(
                    CultureInfo.InvariantCulture,
                    $"the list's first value is taken as {(longitudeFirst ? "longitude" : "latitude")}, but both would fit."
                );
            return longitudeFirst
                ? (items[1], items[0], items.ElementAtOrDefault(2), order)
                : (items[0], items[1], items.ElementAtOrDefault(2), order);
        }

        return (latitude, longitude, null, null);
    }

    private static void Propose(LearningDesk desk, Channel latitude, Channel longitude, string? order)
    {
        ValueRule north = Angle(latitude) with { Letter = Letter(desk, latitude, 'N', 'S') };
        ValueRule east = Angle(longitude) with { Letter = Letter(desk, longitude, 'E', 'W') };
        string? told = UnitWords.Told(latitude, QuantityKind.Angle);
        string? doubt = order;
        string unit = told ?? "deg";
        string why = told is null ? "" : $"unit told: {told}";
        if (told is null && latitude.IsNumeric && longitude.IsNumeric)
        {
            double step = MedianStepDegrees(desk, latitude, longitude) * MetresPerDegree;
            bool beyond =
                latitude.Values.Any(value => Math.Abs(value) > 1.5708)
                || longitude.Values.Any(value => Math.Abs(value) > 3.1416);
            bool degrees = step is > 1.2 and < 150;
            bool radians = !beyond && step * 180 / Math.PI is > 1.2 and < 150;
            unit = radians && !degrees ? "rad" : "deg";
            why = string.Create(
                CultureInfo.InvariantCulture,
                $"median move {step * (unit == "rad" ? 180 / Math.PI : 1):0.0} m"
            );
            doubt ??=
                !beyond && degrees == radians
                    ? "degrees or radians? neither the size nor the distance between triggers tells."
                    : null;
        }

        if (latitude.Distinct < 2 && desk.Structure.Captures > 3)
        {
            doubt ??= "it never changes from trigger to trigger.";
        }

        desk.Propose(FrameQuantity.Latitude, latitude.Place, north with { Unit = unit }, why, doubt);
        desk.Propose(FrameQuantity.Longitude, longitude.Place, east with { Unit = unit }, why, doubt);
    }

    /// <summary>A unit in words behind the number is passed over; signs and letters of degrees, minutes, seconds are read with it.</summary>
    private static ValueRule Angle(Channel one) =>
        one.UnitText.ToLowerInvariant() is "deg" or "degree" or "degrees" or "rad" or "radian" or "radians"
            ? one.Rule
            : one.Rule with
            {
                Pattern = "",
            };

    private static double MedianStepDegrees(LearningDesk desk, Channel latitude, Channel longitude)
    {
        double?[] north = desk.Structure.PerCapture(latitude);
        double?[] east = desk.Structure.PerCapture(longitude);
        List<double> steps = [];
        for (int at = 1; at < north.Length; at++)
        {
            if (north[at] is { } y && east[at] is { } x && north[at - 1] is { } y0 && east[at - 1] is { } x0)
            {
                steps.Add(Math.Sqrt(((y - y0) * (y - y0)) + ((x - x0) * (x - x0))));
            }
        }

        steps.RemoveAll(step => step == 0);
        steps.Sort();
        return steps.Count == 0 ? 0 : steps[steps.Count / 2];
    }

    /// <summary>A property beside it that holds N or S (E or W) only.</summary>
    private static PropertyKey? Letter(LearningDesk desk, Channel of, char plus, char minus) =>
        of.Values.Any(value => value < 0)
            ? null
            : desk
                .Channels.FirstOrDefault(one =>
                    one.Rule.Property is { Source: PropertySource.Xmp }
                    && one.ListLength == 1
                    && one.Present > 0
                    && one.Texts.All(text =>
                        text is null
                        || (text.Length > 0 && char.ToUpperInvariant(text[0]) is var c && (c == plus || c == minus))
                    )
                    && one.Words.Any(word => of.Words.Contains(word))
                )
                ?.Rule.Property;

    private static void Sigma(LearningDesk desk, FrameQuantity quantity)
    {
        if (quantity == FrameQuantity.HorizontalSigma && desk.Has(PropertyKey.Gps(31)))
        {
            desk.Propose(quantity, "gps 31", new ValueRule { Property = PropertyKey.Gps(31) }, "standard tag", null);
            return;
        }

        Channel? best = desk
            .Channels.Where(one =>
                one.Rule.Property is { Source: PropertySource.Xmp }
                && one.IsNumeric
                && one.ListLength == 1
                && QuantityWords.Score(quantity, one.Words) > 2.3
                && one.Values.All(value => value >= 0)
            )
            .MaxBy(one => QuantityWords.Score(quantity, one.Words));
        if (best is null)
        {
            return;
        }

        string? told = UnitWords.Told(best, QuantityKind.Length);
        desk.Propose(
            quantity,
            best.Place,
            best.Rule with
            {
                Unit = told ?? (best.Values.Max() > 50 ? "cm" : "m"),
            },
            told is null ? "by its name" : "by its name; unit told",
            told is null ? "its unit is not told; metres, centimetres and millimetres are all usual." : null
        );
    }
}
