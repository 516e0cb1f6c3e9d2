using Hillrow.Numerics;

namespace Hillrow.Radiometry;

/// <summary>How brightness changes with sun and view: three shapes that a surface's own weights are put on.</summary>
/// <param name="Volume">Leaves that scatter within the canopy; near 0 with a high sun and a view straight down, outside the hot spot.</param>
/// <param name="Geometry">Crowns and the shadows that they cast; 0 with sun and view overhead.</param>
/// <param name="Slant">Square of the view zenith angle, rad²: gaps between crowns close when looked at aslant.</param>
/// <remarks>
/// Ross-thick and Li-sparse reciprocal kernels (W. Wanner, X. Li and A. H. Strahler 1995, doi 10.1029/95JD02371; reciprocal
/// form and h/b = 2, b/r = 1: W. Lucht, C. B. Schaaf and A. H. Strahler 2000, doi 10.1109/36.841980); the volume kernel with
/// the hot spot of F. Maignan, F.-M. Bréon and R. Lacaze 2004, doi 10.1016/j.rse.2003.11.011, half width 1.5°, with the constant
/// −1/3 of that form in place of −π/4 so that it is 0 near nadir with a high sun. Slant: the symmetric term of C. L. Walthall et al. 1985, doi 10.1364/AO.24.000383. Formulas from memory.
/// </remarks>
public readonly record struct ViewAngleKernels(double Volume, double Geometry, double Slant)
{
    private const double HotSpotRadians = 1.5 * Math.PI / 180;
    private const double CrownHeightOverHalfLength = 2;

    /// <param name="towardsSun">Unit, above the horizon; z is up.</param>
    /// <param name="towardsView">Unit, above the horizon; z is up.</param>
    public static ViewAngleKernels At(Vector3D towardsSun, Vector3D towardsView)
    {
        double sun = Math.Max(0.05, towardsSun.Z);
        double view = Math.Max(0.05, towardsView.Z);
        double cosine = Math.Clamp(Vector3D.Dot(towardsSun, towardsView), -1, 1);
        double phase = Math.Acos(cosine);
        double ross = (((Math.PI / 2) - phase) * cosine) + Math.Sin(phase);
        double volume =
            (4 / (3 * Math.PI) * ross / (sun + view) * (1 + (1 / (1 + (phase / HotSpotRadians))))) - (1.0 / 3);

        // Spheres (b = r) look the same from every side: no angles are stretched.
        double tanSun = Math.Sqrt(Math.Max(0, 1 - (sun * sun))) / sun;
        double tanView = Math.Sqrt(Math.Max(0, 1 - (view * view))) / view;
        double sineProduct = tanSun * tanView * sun * view;
        double azimuth = sineProduct < 1e-12 ? 1 : Math.Clamp((cosine - (sun * view)) / sineProduct, -1, 1);
        double apart = Math.Sqrt(
            Math.Max(0, (tanSun * tanSun) + (tanView * tanView) - (2 * tanSun * tanView * azimuth))
        );
        double across = tanSun * tanView * Math.Sqrt(Math.Max(0, 1 - (azimuth * azimuth)));
        double secants = (1 / sun) + (1 / view);
        double overlapCosine = Math.Clamp(
            CrownHeightOverHalfLength * Math.Sqrt((apart * apart) + (across * across)) / secants,
            -1,
            1
        );
        double t = Math.Acos(overlapCosine);
        double overlap = (t - (Math.Sin(t) * overlapCosine)) * secants / Math.PI;
        double geometry = overlap - secants + (0.5 * (1 + cosine) / (sun * view));
        double zenith = Math.Acos(view);
        return new ViewAngleKernels(volume, geometry, zenith * zenith);
    }
}
