namespace Hillrow.Imaging;

/// <summary>Turns a frame's reflectance from the capture's own sun and view to one reference sun, seen from straight above.</summary>
/// <remarks>
/// What dates are compared on. It works on a frame that <see cref="IReflectanceFrames"/> has loaded, so that a map can lay
/// both products from one reading. Safe from many threads.
/// </remarks>
public interface IFrameNormalisation
{
    /// <summary>Zenith angle of the reference sun.</summary>
    double SunZenithDegrees { get; }

    /// <summary>False where place, time or the band's change with angle is unknown: such a frame stays as it is.</summary>
    bool IsNormalised(string captureId, string band);

    /// <summary>Positions among the frames' bands of those that tell canopy from open ground; null: every pixel is taken as half of each.</summary>
    (int Red, int Infrared)? CoverBands { get; }

    /// <summary>What a pixel's reflectance is multiplied by, by its cover; 1 where the frame is not normalised.</summary>
    CoverFactors FactorsAt(string captureId, string band, PixelPoint pixel);

    /// <summary>Takes the angles off a frame.</summary>
    /// <param name="captureId">Of the frame.</param>
    /// <param name="band">Of the frame.</param>
    /// <param name="reflectance">Rows × Columns at the capture's own angles; changed.</param>
    /// <param name="sigma">The same, its standard error; changed; or empty.</param>
    void Normalise(string captureId, string band, Span<float> reflectance, Span<float> sigma);
}
