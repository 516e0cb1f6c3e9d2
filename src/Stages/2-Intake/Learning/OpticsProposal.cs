using Hillrow.Imaging;

namespace Hillrow.Intake;

/// <summary>Focal length and pixel pitch, from EXIF's own tags or by name.</summary>
internal static class OpticsProposal
{
    private const double UsualPitchMicrometres = 3.45;

    /// <param name="desk">What is known so far.</param>
    /// <param name="info">Shape of a frame.</param>
    /// <param name="tell">False for the bands after the first: doubts are told once.</param>
    /// <returns>Pitch in micrometres, focal length in millimetres.</returns>
    public static (double Pitch, double Focal) Make(LearningDesk desk, PictureInfo info, bool tell)
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
}
