namespace Hillrow.Rehearsal;

/// <summary>
/// Bare ground and its view-angle behaviour: the three-parameter law of Rahman, Pinty and Verstraete (1993,
/// doi 10.1029/93JD02072), a family of its own beside the kernel-driven laws that radiometry may solve for.
/// </summary>
/// <param name="Level">ρ0: about the reflectance at nadir.</param>
/// <param name="Bowl">k: below 1 a bowl (brighter when oblique), above 1 a bell.</param>
/// <param name="Forward">Θ: negative scatters backwards.</param>
public readonly record struct GroundReflectance(double Level, double Bowl, double Forward)
{
    private static readonly double[][] Levels =
    [
        // Red loam, dark loam, pale dry soil, leaf litter, gravel road, rock, the mat below grass, target (white part).
        [0.042, 0.075, 0.155, 0.185, 0.250],
        [0.030, 0.046, 0.078, 0.100, 0.150],
        [0.085, 0.135, 0.215, 0.250, 0.315],
        [0.040, 0.065, 0.110, 0.150, 0.240],
        [0.120, 0.165, 0.215, 0.235, 0.270],
        [0.150, 0.175, 0.195, 0.205, 0.225],
        [0.032, 0.065, 0.070, 0.130, 0.240],
        [0.550, 0.560, 0.570, 0.575, 0.580],
    ];

    private static readonly double[] Bowls = [0.86, 0.84, 0.88, 0.82, 0.92, 0.94, 0.80, 0.97];

    private static readonly double[] Forwards = [-0.09, -0.11, -0.08, -0.12, -0.05, -0.05, -0.13, -0.02];

    public static GroundReflectance Of(GroundMaterial material, int band) =>
        new(Levels[(int)material][band], Bowls[(int)material], Forwards[(int)material]);

    /// <summary>
    /// Reflectance factor over <see cref="Level"/> for a sun and a view direction over level ground, both unit
    /// vectors that point up; includes the brightening towards the shadow-free point.
    /// </summary>
    public double AngularFactor(Numerics.Vector3D towardsSun, Numerics.Vector3D towardsViewer)
    {
        double sun = Math.Max(0.15, towardsSun.Z);
        double view = Math.Max(0.15, towardsViewer.Z);
        double phase = Numerics.Vector3D.Dot(towardsSun, towardsViewer);
        double tanSun = Math.Sqrt(1 - Math.Min(1, sun * sun)) / sun;
        double tanView = Math.Sqrt(1 - Math.Min(1, view * view)) / view;
        double level =
            Math.Sqrt(Math.Max(0, 1 - (towardsSun.Z * towardsSun.Z)))
            * Math.Sqrt(Math.Max(0, 1 - (towardsViewer.Z * towardsViewer.Z)));
        double azimuth = level < 1e-9 ? 1 : Math.Clamp((phase - (towardsSun.Z * towardsViewer.Z)) / level, -1, 1);
        // Forward scattering turns the beam by 180° less the angle between the two directions.
        double cosTurn = -phase;
        double squared = Forward * Forward;
        double henyey = (1 - squared) / Math.Pow(1 + squared - (2 * Forward * cosTurn), 1.5);
        double gap = Math.Sqrt(Math.Max(0, (tanSun * tanSun) + (tanView * tanView) - (2 * tanSun * tanView * azimuth)));
        double hotSpot = 1 + ((1 - Math.Min(0.4, Level)) / (1 + gap));
        double bowl = Math.Pow(sun * view * (sun + view), Bowl - 1);
        return bowl * henyey * hotSpot / Nadir();
    }

    /// <summary>Keeps Level the value seen straight down under a sun at 45°, whatever the other two are.</summary>
    private double Nadir()
    {
        double half = Math.Sqrt(0.5);
        double squared = Forward * Forward;
        double henyey = (1 - squared) / Math.Pow(1 + squared - (2 * Forward * -half), 1.5);
        return Math.Pow(half * (half + 1), Bowl - 1) * henyey * (1 + ((1 - Math.Min(0.4, Level)) / 2));
    }
}
