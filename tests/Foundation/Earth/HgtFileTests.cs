using System.Buffers.Binary;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Earth.Tests;

public sealed class HgtFileTests : IDisposable
{
    private const int Side = 1201;
    private readonly string folder = Directory.CreateTempSubdirectory("hillrow-hgt-").FullName;

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Fact]
    public void Read_WholeTile_PutsPostsWhereTheNameSays()
    {
        TerrainTile tile = HgtFile.Read(Write("S03W079.hgt", Plane));
        Assert.Equal(-2, tile.FirstNorth);
        Assert.Equal(-79, tile.FirstEast);
        Assert.Equal(Side, tile.Rows);
        Assert.Equal(VerticalReference.Egm96Geoid, tile.VerticalReference);
        Assert.Equal(9.727, tile.SigmaMetres, 3);

        Terrain terrain = new([tile]);
        // Row 600 from the north is latitude −2.5°; column 300 is longitude −78.75°.
        Assert.True(terrain.TryHeightAt(GeographicPoint.FromDegrees(-2.5, -78.75), out Height height));
        Assert.Equal(Plane(600, 300), height.Metres, 6);
    }

    [Fact]
    public void Read_Area_GivesTheSameHeightsAsTheWholeTile()
    {
        string path = Write("N05W076.hgt", Plane);
        GeographicArea area = new(5.301, -75.702, 5.333, -75.666);
        TerrainTile part = HgtFile.Read(path, area);
        Assert.True(part.Rows < 60 && part.Columns < 60, $"{part.Rows} × {part.Columns}");
        Terrain whole = new([HgtFile.Read(path)]);
        Terrain cut = new([part]);
        foreach (TerrainInterpolation way in Enum.GetValues<TerrainInterpolation>())
        {
            for (int k = 0; k <= 20; k++)
            {
                GeographicPoint place = GeographicPoint.FromDegrees(5.301 + (0.0016 * k), -75.702 + (0.0018 * k));
                Assert.True(whole.TryHeightAt(place, out Height want, way));
                Assert.True(cut.TryHeightAt(place, out Height got, way));
                Assert.Equal(want.Metres, got.Metres, 6);
            }
        }
    }

    [Fact]
    public void OpenHgtFolder_TwoTiles_JoinWithoutASeam()
    {
        Write("N05W076.hgt", (row, column) => (short)(1000 + (row % 7) + column));
        Write("N05W075.hgt", (row, column) => (short)(1000 + (row % 7) + 1200 + column));
        Terrain terrain = Terrain.OpenHgtFolder(folder, new GeographicArea(5.4, -75.01, 5.41, -74.99));
        Assert.Equal(2, terrain.Tiles.Count);
        for (int k = -8; k <= 8; k++)
        {
            // Along a row of posts the heights climb one metre a column, through the seam at −75°.
            GeographicPoint place = GeographicPoint.FromDegrees(5.405, -75 + (k / 2400.0));
            Assert.True(terrain.TryHeightAt(place, out Height height, TerrainInterpolation.Bicubic));
            Assert.Equal(1000 + ((1200 - 486) % 7) + 1200 + (k / 2.0), height.Metres, 4);
        }
    }

    [Fact]
    public void Read_Voids_AreNaNAndTold()
    {
        TerrainTile tile = HgtFile.Read(
            Write(
                "N05W076.hgt",
                (row, column) => row is >= 100 and < 110 && column is >= 50 and < 53 ? short.MinValue : (short)500
            )
        );
        Assert.Equal(30, tile.Voids.Posts);
        Assert.Equal(1, tile.Voids.Holes);
        Terrain terrain = new([tile]);
        Assert.False(terrain.TryHeightAt(GeographicPoint.FromDegrees(6 - (105 / 1200.0), -76 + (51 / 1200.0)), out _));
        string told = Assert.Single(terrain.HolesTold);
        Assert.Contains("30 of 1,442,401 posts", told, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(0, "empty")]
    [InlineData(1, "cut short")]
    [InlineData(2884801, "cut short")]
    [InlineData(2884804, "cut short")]
    public void Read_WrongSize_SaysFileAndRemedyInOneLine(int bytes, string words)
    {
        string path = Path.Combine(folder, "N05W076.hgt");
        File.WriteAllBytes(path, new byte[bytes]);
        InputProblemException problem = Assert.Throws<InputProblemException>(() => HgtFile.Read(path));
        Assert.StartsWith(path, problem.Message, StringComparison.Ordinal);
        Assert.Contains(words, problem.Message, StringComparison.Ordinal);
        Assert.DoesNotContain('\n', problem.Message);
    }

    [Theory]
    [InlineData("tile.hgt")]
    [InlineData("N95W076.hgt")]
    [InlineData("N05W190.hgt")]
    public void Read_NameWithoutSquare_Throws(string name) =>
        Assert.Throws<InputProblemException>(() => HgtFile.Read(Write(name, Plane)));

    [Fact]
    public void Read_WrongByteOrder_SaysSo()
    {
        string path = Write(
            "N05W076.hgt",
            (row, column) => BinaryPrimitives.ReverseEndianness((short)(1700 + (column % 200)))
        );
        InputProblemException problem = Assert.Throws<InputProblemException>(() => HgtFile.Read(path));
        Assert.Contains("big-endian", problem.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void OpenHgtFolder_NothingThere_SaysWhichSquare()
    {
        InputProblemException problem = Assert.Throws<InputProblemException>(() =>
            Terrain.OpenHgtFolder(folder, new GeographicArea(5, -76, 5.1, -75.9))
        );
        Assert.Contains("no .hgt tile covers 5", problem.Message, StringComparison.Ordinal);
        Assert.Throws<InputProblemException>(() =>
            Terrain.OpenHgtFolder(Path.Combine(folder, "missing"), new GeographicArea(5, -76, 5.1, -75.9))
        );
    }

    private static short Plane(int row, int column) => (short)(800 + row - (column / 2));

    private string Write(string name, Func<int, int, short> height)
    {
        byte[] bytes = new byte[2 * Side * Side];
        for (int row = 0; row < Side; row++)
        {
            for (int column = 0; column < Side; column++)
            {
                BinaryPrimitives.WriteInt16BigEndian(bytes.AsSpan(2 * ((row * Side) + column)), height(row, column));
            }
        }

        string path = Path.Combine(folder, name);
        File.WriteAllBytes(path, bytes);
        return path;
    }
}
