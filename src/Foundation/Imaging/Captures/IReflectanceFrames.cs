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

    /// <summary>As <see cref="Load"/>, but only what is wanted need be received: a map takes a small part of each frame.</summary>
    /// <param name="captureId">A capture of the survey.</param>
    /// <param name="band">One of <see cref="Bands"/>.</param>
    /// <param name="wanted">Columns of each row; what else the spans receive means nothing.</param>
    /// <param name="reflectance">Rows × Columns, as in <see cref="Load"/>.</param>
    /// <param name="sigma">Likewise, or empty.</param>
    /// <exception cref="Hillrow.Numerics.InputProblemException">The frame cannot be read.</exception>
    void LoadPart(
        string captureId,
        string band,
        ReadOnlySpan<ColumnSpan> wanted,
        Span<float> reflectance,
        Span<float> sigma
    ) => Load(captureId, band, reflectance, sigma);
}

/// <summary>Some neighbouring columns of a row.</summary>
/// <param name="First">The first of them.</param>
/// <param name="End">The one after the last; none when not beyond the first.</param>
public readonly record struct ColumnSpan(int First, int End)
{
    public bool IsEmpty => End <= First;

    /// <summary>Both and what lies between.</summary>
    public ColumnSpan Joined(ColumnSpan other) =>
        IsEmpty ? other
        : other.IsEmpty ? this
        : new(Math.Min(First, other.First), Math.Max(End, other.End));
}
