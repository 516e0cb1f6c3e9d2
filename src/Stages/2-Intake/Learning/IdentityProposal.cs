using Hillrow.Imaging;

namespace Hillrow.Intake;

/// <summary>Finds what names a trigger, the panel's sign, and what names the camera.</summary>
internal static class IdentityProposal
{
    private static readonly HashSet<string> Yes = new(StringComparer.OrdinalIgnoreCase) { "1", "true", "yes" };
    private static readonly HashSet<string> No = new(StringComparer.OrdinalIgnoreCase) { "0", "false", "no" };

    public static void Make(LearningDesk desk)
    {
        CaptureId(desk);
        Panel(desk);
        foreach (
            (FrameQuantity quantity, PropertyKey key) in new[]
            {
                (FrameQuantity.CameraMaker, PropertyKey.Tiff(271)),
                (FrameQuantity.CameraModel, PropertyKey.Tiff(272)),
                (FrameQuantity.SerialNumber, PropertyKey.Exif(42033)),
                (FrameQuantity.FNumber, PropertyKey.Exif(33437)),
                (FrameQuantity.FocalLength, PropertyKey.Exif(37386)),
                (FrameQuantity.Temperature, PropertyKey.Exif(37888)),
            }
        )
        {
            if (desk.Has(key))
            {
                desk.Propose(
                    quantity,
                    ChannelListing.PlaceOf(key),
                    new ValueRule { Property = key },
                    "standard tag",
                    null
                );
            }
        }

        if (
            !desk.Rules.ContainsKey(FrameQuantity.SerialNumber)
            && LightProposal.Named(desk, FrameQuantity.SerialNumber, 1.9, one => one.Distinct == 1).Best is { } serial
        )
        {
            desk.Propose(
                FrameQuantity.SerialNumber,
                serial.Place,
                serial.Rule,
                "by its name; the same in all files",
                null
            );
        }
    }

    private static void CaptureId(LearningDesk desk)
    {
        FrameStructure structure = desk.Structure;
        Channel? property = desk
            .Channels.Where(one =>
                one.Rule.Property is { Source: PropertySource.Xmp } or { Source: PropertySource.Exif, Tag: 42016 }
                && one.ListLength == 1
                && !FrameStructure.LooksLikeTime(one)
                && (
                    QuantityWords.Score(FrameQuantity.CaptureId, one.Words) >= 0.7
                    || one.Rule.Property is { Tag: 42016 }
                )
                && structure.IsCaptureLabel(one)
            )
            .MaxBy(one => QuantityWords.Score(FrameQuantity.CaptureId, one.Words));
        Channel? chosen = property ?? structure.CaptureChannel;
        if (chosen is not null && (structure.Bands > 1 || property is not null))
        {
            bool lasting = chosen.Rule.Property is null || property is not null;
            desk.Propose(
                FrameQuantity.CaptureId,
                chosen.Place,
                chosen.Rule,
                "one value for each trigger, the same in all its frames",
                lasting ? null : "its name does not speak of triggers."
            );
        }
        else
        {
            desk.Propose(
                FrameQuantity.CaptureId,
                "file name",
                new ValueRule { FileName = "^(.+)[.][^.]+$" },
                "one file is one trigger",
                structure.ByPages || desk.Sample.Pixels[0].Info.Bands > 1 || desk.Sample.Files == 1
                    ? null
                    : "nothing found that tells which files belong to one trigger; each file is taken as one of its own."
            );
        }
    }

    private static void Panel(LearningDesk desk)
    {
        int frames = desk.Sample.Frames.Count;
        (Channel? named, _) = LightProposal.Named(
            desk,
            FrameQuantity.PanelMarker,
            1.9,
            one =>
                one.ListLength == 1
                && (
                    one.Present < 0.5 * frames
                    || one.Texts.All(text => text is null || Yes.Contains(text) || No.Contains(text))
                )
        );
        Channel? sparse =
            named
            ?? LightProposal
                .Named(desk, FrameQuantity.PanelMarker, 0.7, one => one.ListLength == 1 && one.Present < 0.4 * frames)
                .Best;
        if (sparse is null)
        {
            desk.Doubt(
                "panelMarker",
                "nothing tells pictures of the panel; intake will look for pictures taken on the ground.",
                "panelMarker=PLACE|none"
            );
            return;
        }

        bool flag = sparse.Texts.All(text => text is null || Yes.Contains(text) || No.Contains(text));
        desk.Propose(
            FrameQuantity.PanelMarker,
            sparse.Place,
            flag ? sparse.Rule with { Pattern = "^(?:1|[Tt]rue|TRUE|[Yy]es|YES)$" } : sparse.Rule,
            $"stands in {sparse.Present} of {frames} frames",
            named is null ? "its name says little." : null
        );
    }
}
