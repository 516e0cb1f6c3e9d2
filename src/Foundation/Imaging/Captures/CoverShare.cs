namespace Hillrow.Imaging;

/// <summary>How much of a pixel is green canopy, from its own red and near infrared: no surface and no outline is needed.</summary>
/// <remarks>
/// A straight line of NDVI (C. J. Tucker 1979, doi 10.1016/0034-4257(79)90013-0) between open ground and canopy. The ends are own estimates: dry
/// soil and litter lie below 0.4, leaves in light and shade above 0.75; a green sward between rows counts as canopy.
/// </remarks>
public static class CoverShare
{
    /// <summary>Where red and near infrared are not both known.</summary>
    public const float Unknown = 0.5f;

    /// <summary>NDVI up to which a pixel is open ground.</summary>
    public const float OpenNdvi = 0.5f;

    /// <summary>NDVI from which a pixel is canopy.</summary>
    public const float CanopyNdvi = 0.7f;

    private const double RedNanometres = 668;
    private const double InfraredNanometres = 840;
    private const double NearestNanometres = 60;

    /// <summary>0 open ground … 1 canopy; <see cref="Unknown"/> when a reflectance is NaN.</summary>
    /// <param name="red">Reflectance.</param>
    /// <param name="infrared">Reflectance.</param>
    public static float Of(float red, float infrared)
    {
        float ndvi = (infrared - red) / (infrared + red);
        return float.IsFinite(ndvi) ? Math.Clamp((ndvi - OpenNdvi) / (CanopyNdvi - OpenNdvi), 0, 1) : Unknown;
    }

    /// <summary>Positions of red and near infrared among bands; null when there is none within 60 nm of either.</summary>
    /// <param name="centresNanometres">By band.</param>
    public static (int Red, int Infrared)? BandsOf(IReadOnlyList<double> centresNanometres)
    {
        ArgumentNullException.ThrowIfNull(centresNanometres);
        return Nearest(RedNanometres) is { } red && Nearest(InfraredNanometres) is { } infrared && red != infrared
            ? (red, infrared)
            : null;

        int? Nearest(double wanted)
        {
            int[] near =
            [
                .. Enumerable
                    .Range(0, centresNanometres.Count)
                    .Where(band => Math.Abs(centresNanometres[band] - wanted) <= NearestNanometres)
                    .OrderBy(band => Math.Abs(centresNanometres[band] - wanted)),
            ];
            return near.Length == 0 ? null : near[0];
        }
    }
}

/// <summary>What reflectance is multiplied by to be as under the reference sun, seen from straight above.</summary>
/// <param name="Canopy">For a pixel of canopy.</param>
/// <param name="Open">For a pixel of open ground.</param>
public readonly record struct CoverFactors(double Canopy, double Open)
{
    /// <summary>Leaves reflectance as it is.</summary>
    public static CoverFactors One { get; } = new(1, 1);

    /// <param name="share">Of canopy, 0 … 1.</param>
    public double At(double share) => Open + ((Canopy - Open) * share);
}
