namespace Hillrow.Mapping;

/// <summary>Reflectance as a 16-bit number: steps of 0.000025, so that the rounding of dark canopy (0.02) stays below 0.07 %.</summary>
public static class ReflectanceCode
{
    /// <summary>Reflectance = stored × Scale.</summary>
    public const double Scale = 1.0 / 40000;

    /// <summary>No data.</summary>
    public const ushort Missing = ushort.MaxValue;

    /// <summary>0 … 1.638 is kept; noise below 0 becomes 0, more light than that 65534; NaN becomes <see cref="Missing"/>.</summary>
    public static ushort Encode(float reflectance)
    {
        float scaled = (reflectance * 40000f) + 0.5f;
        return float.IsNaN(scaled) ? Missing : (ushort)Math.Clamp(scaled, 0f, 65534f);
    }
}
