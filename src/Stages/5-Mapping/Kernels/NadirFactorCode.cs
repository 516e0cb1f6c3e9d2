namespace Hillrow.Mapping;

/// <summary>The factor from a cell's own sun and view to the reference ones as a 16-bit number, in steps of 0.0001.</summary>
public static class NadirFactorCode
{
    /// <summary>Factor = stored × Scale.</summary>
    public const double Scale = 1.0 / 10000;

    /// <summary>No data: no capture, or the capture's angles are not known. Reflectance is then left as it is.</summary>
    public const ushort Missing = 0;

    /// <summary>0.0001 … 6.5535; anything outside becomes the nearest, NaN becomes <see cref="Missing"/>.</summary>
    public static ushort Encode(double factor) =>
        double.IsNaN(factor) ? Missing : (ushort)Math.Clamp(Math.Round(factor / Scale), 1, ushort.MaxValue);
}
