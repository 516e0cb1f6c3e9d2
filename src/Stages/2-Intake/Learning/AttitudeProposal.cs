using System.Globalization;
using Hillrow.Imaging;

namespace Hillrow.Intake;

/// <summary>Finds yaw, pitch and roll; the course over ground tells the yaw's unit, straight down the pitch's zero.</summary>
internal static class AttitudeProposal
{
    private static readonly string[] ListWords =
    [
        "attitude",
        "orientation",
        "turn",
        "turned",
        "ypr",
        "rpy",
        "pose",
        "euler",
        "angles",
        "rotation",
        "imu",
        "gimbal",
    ];

    public static void Make(LearningDesk desk)
    {
        (Channel? yaw, Channel? pitch, Channel? roll, string? order) = Triple(desk) ?? Singles(desk);
        if (yaw is null || pitch is null || roll is null)
        {
            // Each angle is left open under its own name: nobody looks for a missing roll under yaw.
            foreach ((string angle, Channel? found) in new[] { ("yaw", yaw), ("pitch", pitch), ("roll", roll) })
            {
                desk.Doubt(
                    angle,
                    "not all of yaw, pitch and roll were recognised"
                        + (found is null ? "." : $"; {angle} may be {found.Place}."),
                    "yaw=PLACE, pitch=PLACE, roll=PLACE"
                );
            }

            return;
        }

        string? told = UnitWords.Told(yaw, QuantityKind.Angle) ?? UnitWords.Told(pitch, QuantityKind.Angle);
        (double Degrees, double Radians)? off = FromCourse(desk, yaw);
        const double agree = 30;
        bool degreesFit = off is { } d && d.Degrees < agree;
        bool radiansFit = off is { } r && r.Radians < agree;
        double largest = yaw.Values.Select(Math.Abs).DefaultIfEmpty(0).Max();
        string unit =
            told
            ?? (
                largest > 6.4 ? "deg"
                : radiansFit && !degreesFit ? "rad"
                : degreesFit && !radiansFit ? "deg"
                : "rad"
            );
        string? doubt = null;
        string why = told is not null ? $"unit told: {told}" : $"largest yaw {LearningDesk.Text(largest)}";
        bool fits = unit == "rad" ? radiansFit : degreesFit;
        if (fits)
        {
            why += "; yaw follows the course over ground";
        }
        else if (off is not null)
        {
            doubt = "yaw does not follow the course over ground.";
        }

        if (told is null && largest <= 6.4 && degreesFit == radiansFit)
        {
            doubt ??= "degrees or radians? neither the size nor the course tells.";
        }

        desk.Propose(FrameQuantity.Yaw, yaw.Place, yaw.Rule with { Unit = unit }, why, doubt);
        Down(desk, FrameQuantity.Pitch, pitch, unit, doubt ?? order);
        Down(desk, FrameQuantity.Roll, roll, unit, doubt ?? order);
        Sensor(desk, unit, told is not null);
    }

    /// <summary>Straight down is zero for us; some count it as ±90.</summary>
    private static void Down(LearningDesk desk, FrameQuantity quantity, Channel channel, string unit, string? doubt)
    {
        double right = unit == "rad" ? Math.PI / 2 : 90;
        double[] values = [.. channel.Values.Order()];
        double middle = values[values.Length / 2];
        double offset =
            Math.Abs(middle + right) < 0.35 * right ? right
            : Math.Abs(middle - right) < 0.35 * right ? -right
            : 0;
        string? own =
            quantity == FrameQuantity.Roll && offset != 0 ? "roll stands near a right angle."
            : quantity == FrameQuantity.Pitch && offset < 0
                ? "pitch stands near +90: taken as straight down, but its sign is open."
            : Math.Abs(middle + offset) > 0.3 * right
                ? $"its middle is {LearningDesk.Text(middle)}: not a camera that looks down."
            : unit == "deg" && values[^1] - values[0] < 0.6 && Math.Abs(middle) < 0.6 && desk.Structure.Captures > 5
                ? "so small in degrees that it may be in radians."
            : unit == "rad" && values[^1] - values[0] > 1.2 ? "so large in radians that it may be in degrees."
            : null;
        desk.Propose(
            quantity,
            channel.Place,
            channel.Rule with
            {
                Unit = unit,
                Offset = offset,
            },
            string.Create(
                CultureInfo.InvariantCulture,
                $"middle {middle:G4} {unit}; nose up and right wing down are taken as positive"
            ),
            doubt ?? own
        );
    }

    private static (Channel?, Channel?, Channel?, string?) Singles(LearningDesk desk)
    {
        Channel? Best(FrameQuantity quantity) =>
            desk
                .Channels.Where(one =>
                    one.Rule.Property is { Source: PropertySource.Xmp }
                    && one.IsNumeric
                    && one.ListLength == 1
                    && one.Present > 0.8 * desk.Sample.Frames.Count
                    && QuantityWords.Score(quantity, one.Words) >= 1.3
                    && one.Values.All(value => Math.Abs(value) <= 720)
                )
                .OrderByDescending(one => QuantityWords.Score(quantity, one.Words) + CameraFirst(one))
                .FirstOrDefault();
        Channel? yaw = Best(FrameQuantity.Yaw);
        Channel? pitch = Best(FrameQuantity.Pitch);
        Channel? roll = Best(FrameQuantity.Roll);
        string? doubt =
            yaw is not null && pitch is not null && (yaw == pitch || pitch == roll || yaw == roll)
                ? "two of yaw, pitch and roll seem to stand in one place."
                : null;
        return (yaw, pitch, roll, doubt);
    }

    private static double CameraFirst(Channel channel) =>
        channel.Words.Any(word => word is "camera" or "gimbal" or "sensor" or "view") ? 0.5
        : channel.Words.Any(word => word is "flight" or "aircraft" or "vehicle" or "drone" or "body" or "airframe")
            ? -0.5
        : 0;

    private static (Channel?, Channel?, Channel?, string?)? Triple(LearningDesk desk)
    {
        foreach (
            Channel first in desk.Channels.Where(one =>
                one.ListLength == 3
                && one.Rule.Item == 1
                && one.Rule.Property is { Source: PropertySource.Xmp }
                && one.Words.Any(ListWords.Contains)
                && !QuantityWords.IsLight(one.Words)
            )
        )
        {
            Channel[] items = [.. desk.Channels.Where(one => one.Rule.Property == first.Rule.Property)];
            if (items.Length != 3 || items.Any(item => !item.IsNumeric))
            {
                continue;
            }

            double?[] off =
            [
                .. items.Select(item =>
                    FromCourse(desk, item) is { } found ? Math.Min(found.Degrees, found.Radians) : (double?)null
                ),
            ];
            bool rollFirst = first.Words.Contains("rpy");
            bool known = rollFirst || first.Words.Contains("ypr");
            int yawAt =
                rollFirst ? 2
                : off.All(value => value is null) || off[0] <= off[2] ? 0
                : 2;
            double middle = Median(items[1]);
            bool down = Math.Abs(Math.Abs(middle) - 90) < 30 || Math.Abs(Math.Abs(middle) - (Math.PI / 2)) < 0.4;
            string? doubt =
                known || (down && off[yawAt] < 30)
                    ? null
                    : "the order of the list is taken as yaw, pitch, roll"
                        + (yawAt == 2 ? " from the end" : "")
                        + "; pitch and roll may be the other way round.";
            return (items[yawAt], items[1], items[2 - yawAt], doubt);
        }

        return null;
    }

    private static double Median(Channel channel)
    {
        double[] values = [.. channel.Values.Order()];
        return values.Length == 0 ? 0 : values[values.Length / 2];
    }

    /// <summary>Median angle between a channel, taken as degrees and as radians, and the course; null without movement.</summary>
    private static (double Degrees, double Radians)? FromCourse(LearningDesk desk, Channel yaw)
    {
        (double Latitude, double Longitude)?[] places = PositionProposal.Places(desk);
        double?[] angles = desk.Structure.PerCapture(yaw);
        List<double> degrees = [];
        List<double> radians = [];
        for (int at = 1; at + 1 < places.Length; at++)
        {
            if (places[at - 1] is not { } before || places[at + 1] is not { } after || angles[at] is not { } angle)
            {
                continue;
            }

            double north = (after.Latitude - before.Latitude) * 111_320;
            double east = (after.Longitude - before.Longitude) * 111_320 * Math.Cos(after.Latitude * Math.PI / 180);
            double move = Math.Sqrt((north * north) + (east * east));
            if (move is < 4 or > 400)
            {
                continue;
            }

            double course = Math.Atan2(east, north) * 180 / Math.PI;
            degrees.Add(Between(angle, course));
            radians.Add(Between(angle * 180 / Math.PI, course));
        }

        if (degrees.Count < 4)
        {
            return null;
        }

        degrees.Sort();
        radians.Sort();
        return (degrees[degrees.Count / 2], radians[radians.Count / 2]);
    }

    private static double Between(double one, double other) => Math.Abs(Math.IEEERemainder(one - other, 360));

    private static void Sensor(LearningDesk desk, string unit, bool told)
    {
        foreach (
            FrameQuantity quantity in new[]
            {
                FrameQuantity.IrradianceYaw,
                FrameQuantity.IrradiancePitch,
                FrameQuantity.IrradianceRoll,
            }
        )
        {
            Channel? best = desk
                .Channels.Where(one =>
                    one.Rule.Property is { Source: PropertySource.Xmp }
                    && one.IsNumeric
                    && one.ListLength == 1
                    && QuantityWords.Score(quantity, one.Words) >= 2.5
                )
                .MaxBy(one => QuantityWords.Score(quantity, one.Words));
            if (best is not null)
            {
                string? own = UnitWords.Told(best, QuantityKind.Angle);
                desk.Propose(
                    quantity,
                    best.Place,
                    best.Rule with
                    {
                        Unit = own ?? unit,
                    },
                    "by its name",
                    own is null && !told ? "its unit is taken to be that of the camera's yaw." : null
                );
            }
        }
    }
}
