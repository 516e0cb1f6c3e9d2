namespace Hillrow.Imaging;

/// <summary>What the numbers of one band of a raster are.</summary>
/// <param name="Name">Short name, unique within the raster: "near infrared", "height", "class".</param>
/// <param name="Unit">Unit of <c>stored × Scale + Offset</c>; empty for a pure number.</param>
/// <param name="Scale">True value = stored × Scale + Offset; not 0.</param>
/// <param name="Offset">See <paramref name="Scale"/>.</param>
public sealed record BandLabel(string Name, string Unit = "", double Scale = 1, double Offset = 0)
{
    public bool IsScaled => !Scale.Equals(1.0) || !Offset.Equals(0.0);

    public double TrueValueOf(double stored) => (stored * Scale) + Offset;
}
