namespace Hillrow.Earth;

/// <summary>A height that knows what it is measured from; two heights of different references never meet unconverted.</summary>
/// <param name="Metres">Positive up.</param>
/// <param name="Reference">What zero is.</param>
public readonly record struct Height(double Metres, VerticalReference Reference)
{
    public static Height AboveEllipsoid(double metres) => new(metres, VerticalReference.Ellipsoid);

    public static Height AboveGeoid(double metres) => new(metres, VerticalReference.Egm96Geoid);

    /// <summary>The same place's height from another reference.</summary>
    /// <exception cref="InvalidOperationException">Either reference is <see cref="VerticalReference.Unknown"/>.</exception>
    public Height To(VerticalReference wanted, GeographicPoint at, GeoidModel geoid)
    {
        ArgumentNullException.ThrowIfNull(geoid);
        if (Reference == VerticalReference.Unknown || wanted == VerticalReference.Unknown)
        {
            throw new InvalidOperationException(
                $"A height above {Reference} cannot become one above {wanted}: settle what it is measured from first."
            );
        }

        if (Reference == wanted)
        {
            return this;
        }

        double undulation = geoid.UndulationMetres(at);
        return new(wanted == VerticalReference.Ellipsoid ? Metres + undulation : Metres - undulation, wanted);
    }

    /// <summary>Height above the WGS 84 ellipsoid, metres.</summary>
    /// <exception cref="InvalidOperationException">The reference is <see cref="VerticalReference.Unknown"/>.</exception>
    public double EllipsoidalMetres(GeographicPoint at, GeoidModel geoid) =>
        To(VerticalReference.Ellipsoid, at, geoid).Metres;

    /// <summary>Height above the EGM96 geoid (about mean sea level), metres.</summary>
    /// <exception cref="InvalidOperationException">The reference is <see cref="VerticalReference.Unknown"/>.</exception>
    public double OrthometricMetres(GeographicPoint at, GeoidModel geoid) =>
        To(VerticalReference.Egm96Geoid, at, geoid).Metres;

    /// <summary>How much higher this is, metres.</summary>
    /// <exception cref="InvalidOperationException">The references differ or are unknown.</exception>
    public static double operator -(Height upper, Height lower) =>
        upper.Reference == lower.Reference && upper.Reference != VerticalReference.Unknown
            ? upper.Metres - lower.Metres
            : throw new InvalidOperationException(
                $"Heights above {upper.Reference} and above {lower.Reference} cannot be subtracted: convert one first."
            );

    public override string ToString() =>
        Reference switch
        {
            VerticalReference.Ellipsoid => FormattableString.Invariant($"{Metres:0.###} m above the WGS 84 ellipsoid"),
            VerticalReference.Egm96Geoid => FormattableString.Invariant($"{Metres:0.###} m above sea level (EGM96)"),
            _ => FormattableString.Invariant($"{Metres:0.###} m above an unknown reference"),
        };
}
