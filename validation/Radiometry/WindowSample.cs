namespace Hillrow.Validation.Radiometry;

/// <summary>One window of one band's frame: what was found, what is true, how sure the stage said it is.</summary>
/// <param name="Band">Index, blue to near infrared.</param>
/// <param name="Capture">Index in the flight's captures over the crop.</param>
/// <param name="Window">Row × columns + column.</param>
/// <param name="Found">Mean of the 64 pixels.</param>
/// <param name="True">Reflectance factor at the capture's own sun and view.</param>
/// <param name="NoiseSigma">Of the mean, what is independent from pixel to pixel.</param>
/// <param name="CommonSigma">What neighbouring pixels share, the certificate in it.</param>
/// <param name="OffAxisDegrees">Of the window's middle from the frame's middle.</param>
/// <param name="IsCrown">Crop share at least 0.9.</param>
/// <param name="IsSoil">Crop share at most 0.02.</param>
internal readonly record struct WindowSample(
    byte Band,
    short Capture,
    int Window,
    float Found,
    float True,
    float NoiseSigma,
    float CommonSigma,
    float OffAxisDegrees,
    bool IsCrown,
    bool IsSoil
);
