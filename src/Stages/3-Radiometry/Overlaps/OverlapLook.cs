using Hillrow.Imaging;

namespace Hillrow.Radiometry;

/// <summary>What one capture shows of one place on the ground, in all bands.</summary>
/// <param name="Place">Index of the place.</param>
/// <param name="Kernels">Of the directions to sun and camera.</param>
/// <param name="Reflectance">By band; NaN where the band does not see it.</param>
/// <param name="Pixels">By band: where in its frame.</param>
internal sealed record OverlapLook(int Place, ViewAngleKernels Kernels, float[] Reflectance, PixelPoint[] Pixels)
{
    /// <summary>Mean of the window's canopy pixels by band; NaN where there are few, empty when cover cannot be told.</summary>
    public float[] Canopy { get; set; } = [];

    /// <summary>The same of its pixels of open ground.</summary>
    public float[] Open { get; set; } = [];
}

/// <summary>One capture's looks, and what its frames need to be corrected for.</summary>
/// <param name="Capture">Of the survey.</param>
/// <param name="Looks">In the order of places.</param>
/// <param name="MeanReflectance">Of each band's frame; NaN where it has none.</param>
/// <param name="TowardsSun">Local frame; zero when the time is unknown.</param>
/// <param name="HeightMetres">Above the ground below.</param>
/// <param name="Beam">By band: where the beam that met the sensor meets the ground, as shares of the frame's rows and columns; null when unknown.</param>
internal sealed record CaptureLooks(
    Capture Capture,
    IReadOnlyList<OverlapLook> Looks,
    double[] MeanReflectance,
    Numerics.Vector3D TowardsSun,
    double HeightMetres,
    (double RowShare, double ColumnShare)?[] Beam
);
