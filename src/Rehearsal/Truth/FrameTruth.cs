namespace Hillrow.Rehearsal;

/// <summary>A plant as one frame really saw it.</summary>
/// <param name="Plant">Its number.</param>
/// <param name="Factor">Mean reflectance factor of what is seen of it, at the frame's own sun and view directions.</param>
/// <param name="Pixels">How much is seen of it, in pixels.</param>
/// <param name="Column">Mean place in the frame; (0, 0) is the outer corner of the first pixel.</param>
/// <param name="Row">Mean place in the frame.</param>
public sealed record CrownSeen(int Plant, double Factor, double Pixels, double Column, double Row);

/// <summary>
/// What a frame truly shows, at the capture's own sun and view directions: π × radiance of the surface over the
/// irradiance that level ground has at its place and moment, so clouds, haze, lens and sensor are out of it.
/// </summary>
/// <param name="Columns">Windows across: <see cref="WindowPixels"/> square, those that lie wholly in the frame.</param>
/// <param name="Rows">Windows down.</param>
/// <param name="Factor">Rows × Columns: mean reflectance factor of a window's rays, without the lens's blur.</param>
/// <param name="CrownShare">Rows × Columns: share of a window's rays that met a plant of the crop, 0 … 1.</param>
/// <param name="Crowns">By plant number.</param>
public sealed record FrameTruth(
    int Columns,
    int Rows,
    float[] Factor,
    float[] CrownShare,
    IReadOnlyList<CrownSeen> Crowns
)
{
    /// <summary>Edge of a window.</summary>
    public const int WindowPixels = 8;
}
