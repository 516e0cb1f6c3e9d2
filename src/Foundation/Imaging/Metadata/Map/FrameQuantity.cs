namespace Hillrow.Imaging;

/// <summary>A quantity that a metadata map can locate; the names in the file start with a small letter.</summary>
public enum FrameQuantity
{
    Latitude,
    Longitude,
    Height,
    HorizontalSigma,
    VerticalSigma,
    Yaw,
    Pitch,
    Roll,
    Exposure,
    Gain,
    Iso,
    FNumber,
    BlackLevel,
    Irradiance,
    IrradianceYaw,
    IrradiancePitch,
    IrradianceRoll,
    CaptureId,
    BandName,
    BandNumber,
    CentreWavelength,
    BandWidth,
    Bits,
    PanelMarker,
    SerialNumber,
    CameraMaker,
    CameraModel,
    FocalLength,
    Temperature,
}

/// <summary>What kind of value a quantity is, and so which units fit it.</summary>
public enum QuantityKind
{
    Text,
    PlainNumber,
    Angle,
    Length,
    Duration,
    Amplification,
    SpectralIrradiance,
    Temperature,
}

public static class FrameQuantities
{
    public static QuantityKind KindOf(FrameQuantity quantity) =>
        quantity switch
        {
            FrameQuantity.CaptureId
            or FrameQuantity.BandName
            or FrameQuantity.PanelMarker
            or FrameQuantity.SerialNumber
            or FrameQuantity.CameraMaker
            or FrameQuantity.CameraModel => QuantityKind.Text,
            FrameQuantity.Latitude
            or FrameQuantity.Longitude
            or FrameQuantity.Yaw
            or FrameQuantity.Pitch
            or FrameQuantity.Roll
            or FrameQuantity.IrradianceYaw
            or FrameQuantity.IrradiancePitch
            or FrameQuantity.IrradianceRoll => QuantityKind.Angle,
            FrameQuantity.Height
            or FrameQuantity.HorizontalSigma
            or FrameQuantity.VerticalSigma
            or FrameQuantity.CentreWavelength
            or FrameQuantity.BandWidth
            or FrameQuantity.FocalLength => QuantityKind.Length,
            FrameQuantity.Exposure => QuantityKind.Duration,
            FrameQuantity.Gain => QuantityKind.Amplification,
            FrameQuantity.Irradiance => QuantityKind.SpectralIrradiance,
            FrameQuantity.Temperature => QuantityKind.Temperature,
            _ => QuantityKind.PlainNumber,
        };

    /// <summary>Unit taken when a rule states none.</summary>
    public static string UsualUnitOf(FrameQuantity quantity) =>
        quantity switch
        {
            FrameQuantity.CentreWavelength or FrameQuantity.BandWidth => "nm",
            FrameQuantity.FocalLength => "mm",
            _ => KindOf(quantity) switch
            {
                QuantityKind.Angle => "deg",
                QuantityKind.Length => "m",
                QuantityKind.Duration => "s",
                QuantityKind.SpectralIrradiance => "relative",
                QuantityKind.Temperature => "degC",
                _ => "1",
            },
        };

    /// <summary>True for quantities that may hold a list.</summary>
    public static bool IsList(FrameQuantity quantity) =>
        quantity is FrameQuantity.BlackLevel or FrameQuantity.Irradiance;
}
