using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Reconstruction;

/// <summary>Which places a capture sees well enough to be measured and mapped: steeply, and not from too far.</summary>
/// <remarks>
/// Slanted pictures see to the horizon. A place seen 60° from straight above is drawn out to twice its width, and hidden
/// by whatever stands before it; ground sampled four times as coarsely as usual shows no plant. Both limits: common
/// practice, no source. Pictures taken straight down lie within them as a whole.
/// </remarks>
/// <param name="PixelRadians">Angle of a pixel of the frames.</param>
/// <param name="LargestSampleMetres">Largest distance of neighbouring pixels on level ground, along the slant.</param>
internal sealed record WellSeen(double PixelRadians, double LargestSampleMetres)
{
    /// <summary>Farthest from straight above, degrees.</summary>
    public const double MostAslantDegrees = 60;

    /// <summary>Coarsest ground sample over the survey's usual one.</summary>
    public const double CoarsestRatio = 4;

    /// <summary>Points of a frame that are followed to the ground, along each side.</summary>
    private const int PointsAcross = 17;

    /// <summary>Shares smaller than this are not worth a word.</summary>
    private const double ShareToTell = 0.02;

    private static readonly double LeastCosine = Math.Cos(MostAslantDegrees * Math.PI / 180);

    /// <param name="frames">Of the placed captures.</param>
    /// <param name="groundSampleMetres">The survey's usual one.</param>
    public static WellSeen Of(IReadOnlyList<SightedFrame> frames, double groundSampleMetres) =>
        new(frames[0].PixelAngleRadians, CoarsestRatio * groundSampleMetres);

    /// <summary>Whether a camera sees a place steeply and closely enough; what hides it is not asked.</summary>
    /// <param name="centre">Of the camera, local metres.</param>
    /// <param name="place">Local metres.</param>
    public bool Holds(Vector3D centre, Vector3D place)
    {
        Vector3D up = centre - place;
        double distance = up.Length;
        return up.Z >= LeastCosine * distance && distance * distance * PixelRadians <= LargestSampleMetres * up.Z;
    }

    /// <summary>Horizontal distance beyond which nothing can be seen steeply enough from so high.</summary>
    public static double ReachMetres(double heightMetres) => heightMetres * Math.Tan(MostAslantDegrees * Math.PI / 180);

    /// <summary>A lattice of points of a frame, its edges among them: where each meets the ground; null where that is not well seen.</summary>
    public Vector3D?[] Places(SightedFrame frame, HeightField ground)
    {
        Vector3D?[] places = new Vector3D?[PointsAcross * PointsAcross];
        for (int at = 0; at < places.Length; at++)
        {
            PixelPoint pixel = new(
                at % PointsAcross * frame.Lens.Columns / (PointsAcross - 1.0),
                at / PointsAcross * frame.Lens.Rows / (PointsAcross - 1.0)
            );
            places[at] =
                SurfaceSight.TryHit(frame, pixel, ground, out Vector3D place)
                && Holds(frame.Pose.CentreLocalMetres, place)
                    ? place
                    : null;
        }

        return places;
    }

    /// <summary>What to tell of frames that look too far aslant; null when there is nothing to tell.</summary>
    public string? Tell(IReadOnlyList<SightedFrame> frames, HeightField ground)
    {
        double off = frames.Average(frame => Places(frame, ground).Average(place => place is null ? 1.0 : 0));
        return off < ShareToTell
            ? null
            : FormattableString.Invariant(
                $"{100 * off:F0} % of what the pictures show is seen more than {MostAslantDegrees:F0}° aslant or from so far that a pixel covers more than {LargestSampleMetres:F2} m of ground; it is not mapped."
            );
    }
}
