using System.Text;
using Hillrow.Earth;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Estate.Tests;

public sealed class BlockImportTests
{
    private static readonly ReferenceSystem Zone = ReferenceSystem.Utm(18, north: false);

    [Fact]
    public void Read_Bowtie_IsRepairedIntoItsLobesAndTold()
    {
        BlockImportResult result = Import(("Bow", "[[0,0],[100,100],[100,0],[0,100],[0,0]]"));
        Assert.Equal(5_000, result.Blocks[0].AreaSquareMetres, 1);
        Assert.True(result.Blocks[0].Boundary.IsValid);
        string told = Assert.Single(result.Told);
        Assert.Contains("feature 1 \"Bow\" at -7.", told, StringComparison.Ordinal);
        Assert.Contains("crosses or touches itself: repaired into 2 parts, 0.5 ha", told, StringComparison.Ordinal);
    }

    [Fact]
    public void Read_Line_IsRefusedWithItsPlace()
    {
        BlockImportResult result = Import(("Thin", "[[0,0],[100,0],[50,0],[0,0]]"));
        Assert.Empty(result.Blocks);
        Assert.Contains("feature 1 \"Thin\" at -7.", Assert.Single(result.Refused), StringComparison.Ordinal);
    }

    [Fact]
    public void Read_TooSmall_IsRefused() =>
        Assert.Contains(
            "less than a block can be",
            Assert.Single(Import(("Dot", "[[0,0],[2,0],[2,2],[0,2],[0,0]]")).Refused),
            StringComparison.Ordinal
        );

    [Fact]
    public void Read_SameNameTwice_SecondIsRefusedAndBothNamed()
    {
        BlockImportResult result = Import(
            ("North", "[[0,0],[100,0],[100,100],[0,0]]"),
            ("NORTH", "[[200,0],[300,0],[300,100],[200,0]]")
        );
        Assert.Single(result.Blocks);
        string refused = Assert.Single(result.Refused);
        Assert.Contains("feature 2", refused, StringComparison.Ordinal);
        Assert.Contains("already that of feature 1", refused, StringComparison.Ordinal);
    }

    [Fact]
    public void Read_Overlap_IsWarnedWithAreaAndPlace()
    {
        BlockImportResult result = Import(
            ("A", "[[0,0],[100,0],[100,100],[0,100],[0,0]]"),
            ("B", "[[90,0],[200,0],[200,100],[90,100],[90,0]]")
        );
        Assert.Equal(2, result.Blocks.Count);
        string told = Assert.Single(result.Told);
        Assert.Contains("\"A\" and \"B\" overlap by 1000", told, StringComparison.Ordinal);
        Assert.DoesNotContain("sliver", told, StringComparison.Ordinal);
    }

    [Fact]
    public void Read_OverlapNarrowerThanARow_IsCalledASliver() =>
        Assert.Contains(
            "sliver",
            Assert.Single(
                Import(
                    ("A", "[[0,0],[100,0],[100,100],[0,100],[0,0]]"),
                    ("B", "[[99.5,0],[200,0],[200,100],[99.5,100],[99.5,0]]")
                ).Told
            ),
            StringComparison.Ordinal
        );

    [Fact]
    public void Read_OverlapWithAStoredBlock_IsWarned()
    {
        Block stored = Import(("Old", "[[0,0],[100,0],[100,100],[0,100],[0,0]]")).Blocks[0];
        BlockImportResult result = BlockImport.Read(Set(("New", "[[50,0],[150,0],[150,100],[50,0]]")), Zone, [stored]);
        Assert.Contains("\"New\" and \"Old\" overlap", Assert.Single(result.Told), StringComparison.Ordinal);
    }

    [Fact]
    public void Read_FarFromTheZone_IsRefusedWithWhereItLies()
    {
        BoundarySet set = GeoJsonBoundaries.Read(
            """{"type":"Polygon","coordinates":[[[10,50],[10.01,50],[10.01,50.01],[10,50]]]}"""u8.ToArray(),
            "x.geojson"
        );
        string refused = Assert.Single(BlockImport.Read(set, Zone, []).Refused);
        Assert.Contains("lies at 50, 10, far from the estate's zone 18S", refused, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(-75.5, 40.2, "the latitude's other sign")]
    [InlineData(-7.5, -75.2, "latitude and longitude are swapped")]
    public void Read_OtherHemisphereOrSwapped_IsRefusedWithTheLikelyCause(double first, double second, string cause)
    {
        string corners = string.Create(
            System.Globalization.CultureInfo.InvariantCulture,
            $"[{first},{second}],[{first + 0.01},{second}],[{first},{second + 0.01}],[{first},{second}]"
        );
        BoundarySet set = GeoJsonBoundaries.Read(
            System.Text.Encoding.UTF8.GetBytes($$"""{"type":"Polygon","coordinates":[[{{corners}}]]}"""),
            "x.geojson"
        );
        string refused = Assert.Single(BlockImport.Read(set, Zone, []).Refused);
        Assert.Contains("far from the estate's zone 18S", refused, StringComparison.Ordinal);
        Assert.Contains(cause, refused, StringComparison.Ordinal);
    }

    [Fact]
    public void Read_JustAcrossTheEquator_IsStored()
    {
        BoundarySet set = GeoJsonBoundaries.Read(
            """{"type":"Polygon","coordinates":[[[-75.2,0.004],[-75.19,0.004],[-75.19,0.01],[-75.2,0.004]]]}"""u8.ToArray(),
            "x.geojson"
        );
        Assert.Single(BlockImport.Read(set, Zone, []).Blocks);
    }

    [Fact]
    public void Read_UnknownNameAttribute_NamesThoseThereAre()
    {
        InputProblemException problem = Assert.Throws<InputProblemException>(() =>
            BlockImport.Read(Set(("A", "[[0,0],[100,0],[100,100],[0,0]]")), Zone, [], "label")
        );
        Assert.Contains("There are: name", problem.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Read_OtherZoneOfTheSameGround_AgreesToTheMillimetre()
    {
        GridPoint corner = new(166_021, 9_200_000);
        GridPoint again = ReferenceSystem.Utm(18, false).ToGrid(ReferenceSystem.Utm(17, false).ToWgs84(Moved(corner)));
        Assert.Equal(corner.EastingMetres, again.EastingMetres, 1e-3);
        Assert.Equal(corner.NorthingMetres, again.NorthingMetres, 1e-3);

        static GridPoint Moved(GridPoint point) =>
            ReferenceSystem.Utm(17, false).ToGrid(ReferenceSystem.Utm(18, false).ToWgs84(point));
    }

    private static BlockImportResult Import(params (string Name, string Ring)[] blocks) =>
        BlockImport.Read(Set(blocks), Zone, []);

    /// <summary>Rings in metres east and north of a corner of the invented valley.</summary>
    private static BoundarySet Set(params (string Name, string Ring)[] blocks)
    {
        IEnumerable<string> features = blocks.Select(block =>
        {
            double[][] ring = System.Text.Json.JsonSerializer.Deserialize<double[][]>(block.Ring)!;
            string moved = string.Join(
                ',',
                ring.Select(p => FormattableString.Invariant($"[{466_000 + p[0]},{9_197_000 + p[1]}]"))
            );
            return $"{{\"type\":\"Feature\",\"properties\":{{\"name\":\"{block.Name}\"}},\"geometry\":{{\"type\":\"Polygon\",\"coordinates\":[[{moved}]]}}}}";
        });
        string text =
            "{\"type\":\"FeatureCollection\",\"crs\":{\"type\":\"name\",\"properties\":{\"name\":\"EPSG:32718\"}},\"features\":["
            + string.Join(',', features)
            + "]}";
        return GeoJsonBoundaries.Read(Encoding.UTF8.GetBytes(text), "blocks.geojson");
    }
}
