namespace Hillrow.Earth;

/// <summary>
/// The datums we know. Those whose published shift to WGS 84 is poorer than about 6 m, or differs from country to
/// country under one name, are left out on purpose: a boundary 20 m off is worse than a refusal that says how to mend it.
/// </summary>
/// <remarks>
/// Source: EPSG data set (through PROJ 9.1.1) for names, ellipsoids and shifts (numbers given beside them, rotations
/// turned to the position-vector sign); agreements are ours: plate motion from the frame's epoch to 2030.
/// </remarks>
internal static class ReferenceDatums
{
    public static IReadOnlyList<ReferenceDatum> All { get; } =
    [
        new(3824, "TWD97", Ellipsoid.Grs1980, null, 2),
        new(4046, "RGRDC 2005", Ellipsoid.Grs1980, null, 1),
        new(4081, "REGCAN95", Ellipsoid.Grs1980, null, 1),
        // EPSG:1272
        new(4121, "GGRS87", Ellipsoid.Grs1980, new(-199.87, 74.79, 246.62), 1),
        new(4130, "Moznet", Ellipsoid.Wgs84, null, 1),
        new(4148, "Hartebeesthoek94", Ellipsoid.Wgs84, null, 1),
        new(4152, "NAD83(HARN)", Ellipsoid.Grs1980, null, 2),
        new(4163, "Yemen NGN96", Ellipsoid.Wgs84, null, 1),
        new(4167, "NZGD2000", Ellipsoid.Grs1980, null, 2.5),
        new(4170, "SIRGAS 1995", Ellipsoid.Grs1980, null, 1),
        new(4171, "RGF93 v1", Ellipsoid.Grs1980, null, 1),
        new(4173, "IRENET95", Ellipsoid.Grs1980, null, 1),
        new(4189, "REGVEN", Ellipsoid.Grs1980, null, 1),
        new(4190, "POSGAR 98", Ellipsoid.Grs1980, null, 1),
        // EPSG:1103, Ethiopia
        new(4201, "Adindan", Ellipsoid.Clarke1880Rgs, new(-165, -11, 206), 6),
        // EPSG:6194, Brazil
        new(4225, "Corrego Alegre 1970-72", Ellipsoid.International1924, new(-206.05, 168.28, -3.82), 5),
        new(4258, "ETRS89", Ellipsoid.Grs1980, null, 1),
        new(4269, "NAD83", Ellipsoid.Grs1980, null, 2),
        // EPSG:1314
        new(4277, "OSGB36", Ellipsoid.Airy1830, new(446.448, -125.157, 542.06, 0.15, 0.247, 0.842, -20.489), 2),
        new(4283, "GDA94", Ellipsoid.Grs1980, null, 2.5),
        new(4326, "WGS 84", Ellipsoid.Wgs84, null, 0),
        new(4470, "RGM04", Ellipsoid.Grs1980, null, 1),
        new(4483, "Mexico ITRF92", Ellipsoid.Grs1980, null, 1),
        new(4490, "China Geodetic Coordinate System 2000", Ellipsoid.Cgcs2000, null, 1),
        new(4617, "NAD83(CSRS)", Ellipsoid.Grs1980, null, 2),
        // EPSG:5882, Brazil
        new(4618, "SAD69", Ellipsoid.Grs1967Modified, new(-67.35, 3.88, -38.22), 5),
        new(4627, "RGR92", Ellipsoid.Grs1980, null, 1),
        new(4670, "IGM95", Ellipsoid.Grs1980, null, 1),
        new(4674, "SIRGAS 2000", Ellipsoid.Grs1980, null, 1),
        // EPSG:15708
        new(4683, "PRS92", Ellipsoid.Clarke1866, new(-127.62, -67.24, -47.04, -3.068, 4.903, 1.578, -1.06), 1),
        new(4686, "MAGNA-SIRGAS", Ellipsoid.Grs1980, null, 1),
        new(4687, "RGPF", Ellipsoid.Grs1980, null, 1),
        new(4737, "Korea 2000", Ellipsoid.Grs1980, null, 1),
        new(4742, "GDM2000", Ellipsoid.Grs1980, null, 2),
        new(4749, "RGNC91-93", Ellipsoid.Grs1980, null, 2),
        new(4755, "DGN95", Ellipsoid.Wgs84, null, 2),
        // EPSG:6960
        new(
            4756,
            "VN-2000",
            Ellipsoid.Wgs84,
            new(-191.90441429, -39.30318279, -111.45032835, 0.00928836, -0.01975479, 0.00427372, 0.252906278),
            1
        ),
        new(4758, "JAD2001", Ellipsoid.Wgs84, null, 1),
        new(4761, "HTRS96", Ellipsoid.Grs1980, null, 1),
        new(4764, "RSRGD2000", Ellipsoid.Grs1980, null, 1),
        new(4765, "Slovenia 1996", Ellipsoid.Grs1980, null, 1),
        new(5013, "PTRA08", Ellipsoid.Grs1980, null, 1),
        new(5246, "GDBD2009", Ellipsoid.Grs1980, null, 1),
        new(5252, "TUREF", Ellipsoid.Grs1980, null, 1),
        new(5340, "POSGAR 2007", Ellipsoid.Wgs84, null, 1),
        new(5354, "MARGEN", Ellipsoid.Grs1980, null, 1),
        new(5360, "SIRGAS-Chile 2002", Ellipsoid.Grs1980, null, 1),
        new(5365, "CR05", Ellipsoid.Wgs84, null, 1),
        new(5371, "MACARIO SOLIS", Ellipsoid.Grs1980, null, 1),
        new(5373, "Peru96", Ellipsoid.Grs1980, null, 1),
        new(5381, "SIRGAS-ROU98", Ellipsoid.Wgs84, null, 1),
        new(5393, "SIRGAS_ES2007.8", Ellipsoid.Grs1980, null, 1),
        new(5489, "RGAF09", Ellipsoid.Grs1980, null, 1),
        // EPSG:6195, Brazil
        new(5527, "SAD69(96)", Ellipsoid.Grs1967Modified, new(-67.35, 3.88, -38.22), 5),
        new(5546, "PNG94", Ellipsoid.Grs1980, null, 4),
        new(6318, "NAD83(2011)", Ellipsoid.Grs1980, null, 2),
        new(6322, "NAD83(PA11)", Ellipsoid.Grs1980, null, 3),
        new(6365, "Mexico ITRF2008", Ellipsoid.Grs1980, null, 1),
        new(6668, "JGD2011", Ellipsoid.Grs1980, null, 3),
        new(6706, "RDN2008", Ellipsoid.Grs1980, null, 1),
        new(7798, "BGS2005", Ellipsoid.Grs1980, null, 1),
        new(7844, "GDA2020", Ellipsoid.Grs1980, null, 1),
        new(8086, "ISN2016", Ellipsoid.Grs1980, null, 1),
        new(8907, "CR-SIRGAS", Ellipsoid.Grs1980, null, 1),
        new(8949, "SIRGAS-Chile 2010", Ellipsoid.Grs1980, null, 1),
        new(9067, "ETRF2000", Ellipsoid.Grs1980, null, 1),
        new(9470, "SRGI2013", Ellipsoid.Wgs84, null, 1),
        new(9702, "ETRF2000-PL", Ellipsoid.Grs1980, null, 1),
        new(9777, "RGF93 v2", Ellipsoid.Grs1980, null, 1),
        new(9782, "RGF93 v2b", Ellipsoid.Grs1980, null, 1),
    ];

    private static readonly Dictionary<int, ReferenceDatum> ByCode = All.ToDictionary(datum => datum.GeographicCode);

    public static ReferenceDatum? Find(int geographicCode) => ByCode.GetValueOrDefault(geographicCode);
}
