namespace Hillrow.Rehearsal;

/// <summary>Light and matter of one owner in one band, ready for shading.</summary>
[System.Runtime.InteropServices.StructLayout(System.Runtime.InteropServices.LayoutKind.Sequential)]
internal struct OwnerOptics
{
    public float Reflectance;
    public float Transmittance;

    /// <summary>Reflectance factor that light scattered again and again among the leaves adds deep inside.</summary>
    public float Scattered;
    public float Wood;

    private static readonly double[] Bark = [0.07, 0.10, 0.15, 0.19, 0.30];

    /// <summary>One entry per owner number of the vegetation; pinned.</summary>
    public static OwnerOptics[] Of(int bandIndex, PlantingOnDay planting, Vegetation vegetation)
    {
        RigBand band = RigBand.Five[bandIndex];
        OwnerOptics[] all = GC.AllocateArray<OwnerOptics>(vegetation.Owners.Length, pinned: true);
        all[GroundPlants.Grass] = Living(band, 34, 0.3, bandIndex);
        all[GroundPlants.DryGrass] = Mixed(band, 20, 0.72, bandIndex);
        all[GroundPlants.Weed] = Living(band, 31, 0.5, bandIndex);
        for (int index = 0; index < planting.Plants.Count; index++)
        {
            PlantState plant = planting.Plants[index];
            all[GroundPlants.FirstCropOwner + index] = plant.IsDead
                ? Mixed(band, 8, 0.93, bandIndex)
                : Living(
                    band,
                    plant.ChlorophyllMicrogramsPerSquareCentimetre,
                    0.62 * Math.Min(1.1, plant.FoliageDensity + 0.1),
                    bandIndex
                );
        }

        for (int owner = vegetation.FirstTreeOwner; owner < all.Length; owner++)
        {
            all[owner] = Living(band, 40, 0.55, bandIndex);
        }

        return all;
    }

    private static OwnerOptics Living(RigBand band, double chlorophyll, double recollision, int bandIndex)
    {
        LeafReflection leaf = LeafOptics.Green(band, chlorophyll);
        return From(leaf.Reflectance, leaf.Transmittance, recollision, bandIndex);
    }

    private static OwnerOptics Mixed(RigBand band, double chlorophyll, double brownShare, int bandIndex)
    {
        LeafReflection green = LeafOptics.Green(band, chlorophyll);
        LeafReflection brown = LeafOptics.Brown(band);
        return From(
            green.Reflectance + ((brown.Reflectance - green.Reflectance) * brownShare),
            green.Transmittance + ((brown.Transmittance - green.Transmittance) * brownShare),
            0.35,
            bandIndex
        );
    }

    /// <remarks>
    /// Spectral invariants: a photon that meets a leaf meets another with probability p, so that ω²p/(1 − pω) is
    /// scattered at least twice (Knyazikhin and others 1998; Smolander &amp; Stenberg 2005, doi 10.1016/j.rse.2004.10.003).
    /// 0.17 of it is let out upwards: chosen so that the near infrared of a crown stays below that of its leaves.
    /// </remarks>
    private static OwnerOptics From(double reflectance, double transmittance, double recollision, int bandIndex)
    {
        double albedo = reflectance + transmittance;
        return new OwnerOptics
        {
            Reflectance = (float)reflectance,
            Transmittance = (float)transmittance,
            Scattered = (float)(0.17 * albedo * albedo * recollision / (1 - (recollision * albedo))),
            Wood = (float)Bark[bandIndex],
        };
    }
}
