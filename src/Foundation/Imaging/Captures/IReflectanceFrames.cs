namespace Hillrow.Imaging;

/// <summary>
/// Frames as reflectance, made from counts when asked for: what Radiometry offers and Mapping uses, so that no frame of
/// reflectance needs to be kept on disk.
/// </summary>
/// <remarks>Safe to call from many threads at the same time, each with spans of its own.</remarks>
public interface IReflectanceFrames
{
    /// <summary>Bands in the order of the camera profile.</summary>
    IReadOnlyList<string> Bands { get; }

    /// <summary>Whether the capture has a frame of the band that may be used.</summary>
    bool Has(string captureId, string band);

    /// <summary>Reads one frame and turns it into reflectance.</summary>
    /// <param name="captureId">A capture of the survey.</param>
    /// <param name="band">One of <see cref="Bands"/>.</param>
    /// <param name="reflectance">Receives Rows × Columns, row-major; 0 … 1 nominal, not clamped; NaN where saturated.</param>
    /// <param name="sigma">Receives one standard error per pixel, same shape; or empty when not wanted.</param>
    /// <exception cref="Hillrow.Numerics.InputProblemException">The frame cannot be read.</exception>
    void Load(string captureId, string band, Span<float> reflectance, Span<float> sigma);
}
