using System.Runtime.CompilerServices;
using Hillrow.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>
/// The reference panel as it lies on the ground: a grey square in a dark frame with a white mark in each corner.
/// </summary>
/// <param name="CentreMetres">Middle of the upper face, local frame.</param>
/// <param name="YawDegrees">Turn on the ground, clockwise from local north.</param>
/// <param name="HalfEdgeMetres">Half the edge of the grey square.</param>
/// <param name="FrameMetres">Width of the dark frame.</param>
/// <param name="TrueReflectance">By band: what it really reflects.</param>
/// <param name="CertifiedReflectance">By band: what its certificate says, ±2 % (k = 2).</param>
public sealed record PanelBoard(
    Vector3D CentreMetres,
    double YawDegrees,
    double HalfEdgeMetres,
    double FrameMetres,
    IReadOnlyList<double> TrueReflectance,
    IReadOnlyList<double> CertifiedReflectance
)
{
    private const double DarkReflectance = 0.045;
    private const double MarkReflectance = 0.82;

    /// <summary>A panel whose certificate errs by 1 % (one sigma): most of it the same in all bands.</summary>
    public static PanelBoard Build(ulong seed, Vector3D centreMetres)
    {
        SplittableRandom draw = new SplittableRandom(seed).Split("panel");
        double common = 0.85 * draw.NextGaussian();
        double[] real = [0.478, 0.486, 0.491, 0.493, 0.496];
        double[] said = new double[real.Length];
        for (int band = 0; band < real.Length; band++)
        {
            real[band] *= 1 + (0.01 * draw.NextGaussian());
            said[band] = real[band] * (1 + (0.01 * (common + (0.53 * draw.NextGaussian()))));
        }

        return new PanelBoard(centreMetres, draw.NextDouble(0, 90), 0.15, 0.05, real, said);
    }

    /// <summary>Reflectance where a ray meets the board, or a negative number when it misses.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    internal float ReflectanceAt(float east, float north, int band, float towardsViewerUp)
    {
        double yaw = YawDegrees * Math.PI / 180;
        double dx = east - CentreMetres.X;
        double dy = north - CentreMetres.Y;
        double across = Math.Abs((dx * Math.Cos(yaw)) - (dy * Math.Sin(yaw)));
        double along = Math.Abs((dx * Math.Sin(yaw)) + (dy * Math.Cos(yaw)));
        double edge = HalfEdgeMetres + FrameMetres;
        if (across >= edge || along >= edge)
        {
            return -1;
        }

        if (across < HalfEdgeMetres && along < HalfEdgeMetres)
        {
            // Nearly, not wholly, the same from every side.
            return (float)(TrueReflectance[band] * (1 - (0.02 * (1 - towardsViewerUp))));
        }

        double corner = HalfEdgeMetres + (0.5 * FrameMetres);
        bool mark = Math.Abs(across - corner) < 0.3 * FrameMetres && Math.Abs(along - corner) < 0.3 * FrameMetres;
        return (float)(mark ? MarkReflectance : DarkReflectance);
    }
}
