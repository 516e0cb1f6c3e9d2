using Hillrow.Earth;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Estate.Tests.Boundaries;

public sealed class ReferenceSystemTextTests
{
    [Fact]
    public void FromWellKnownText_WithoutCodesInAnotherDatum_IsKnownByItsParameters()
    {
        const string text = """
            PROJCS["SIRGAS_2000_UTM_Zone_19S",GEOGCS["GCS_SIRGAS_2000",DATUM["D_SIRGAS_2000",SPHEROID["GRS_1980",6378137.0,298.257222101]],PRIMEM["Greenwich",0.0],UNIT["Degree",0.0174532925199433]],PROJECTION["Transverse_Mercator"],PARAMETER["False_Easting",500000.0],PARAMETER["False_Northing",10000000.0],PARAMETER["Central_Meridian",-69.0],PARAMETER["Scale_Factor",0.9996],PARAMETER["Latitude_Of_Origin",0.0],UNIT["Meter",1.0]]
            """;
        GeographicPoint place = ReferenceSystemText.FromWellKnownText(text, "x.prj").ToWgs84(412_000, 6_241_000);

        // cs2cs EPSG:31979 EPSG:4326 (PROJ 9.1).
        Assert.Equal(-33.96785008, place.Latitude.Degrees, 1e-8);
        Assert.Equal(-69.95254362, place.Longitude.Degrees, 1e-8);
    }

    [Fact]
    public void FromWellKnownText_UnknownDatum_SaysWhyAndHowToMend()
    {
        const string text = """
            GEOGCS["Old survey",DATUM["Nobody knows",SPHEROID["Own",6378000.0,299.0]],PRIMEM["Greenwich",0.0],UNIT["Degree",0.0174532925199433]]
            """;
        InputProblemException problem = Assert.Throws<InputProblemException>(() =>
            ReferenceSystemText.FromWellKnownText(text, "x.prj")
        );

        Assert.Contains("x.prj", problem.Message, StringComparison.Ordinal);
        Assert.Contains("EPSG:4326", problem.Message, StringComparison.Ordinal);
    }
}
