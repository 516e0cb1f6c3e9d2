using Hillrow.Imaging;

namespace Hillrow.Intake;

/// <summary>What a file says of the camera that took it; empty texts where it says nothing.</summary>
/// <param name="Model">Maker and model.</param>
/// <param name="Serial">Of the one camera.</param>
internal sealed record CameraMark(string Model, string Serial)
{
    public static CameraMark None { get; } = new("", "");

    public bool IsEmpty => Model.Length == 0 && Serial.Length == 0;

    public static CameraMark Of(PropertyBag page, FrameMetadata metadata)
    {
        string Text(int tag) => page.Find(PropertyKey.Tiff(tag)) is { Count: > 0 } value ? value.Text(0).Trim() : "";
        string model = $"{metadata.CameraMaker ?? Text(271)} {metadata.CameraModel ?? Text(272)}".Trim();
        return new CameraMark(model, metadata.SerialNumber?.Trim() ?? "");
    }

    public override string ToString() =>
        Model.Length == 0 ? $"serial number {Serial}"
        : Serial.Length == 0 ? Model
        : $"{Model}, serial number {Serial}";
}
