using Hillrow.Earth;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Reconstruction.Tests;

public sealed class GroundControlFilesTests : IDisposable
{
    private static readonly ReferenceSystem Utm = ReferenceSystem.UtmAt(GeographicPoint.FromDegrees(-14.2, -57.5));

    private readonly string folder = Directory.CreateTempSubdirectory("hillrow-control-").FullName;

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Fact]
    public void Read_NoPoints_IsNull() => Assert.Null(GroundControlFiles.Read(folder, Utm));

    [Fact]
    public void Read_EastingsAndDegrees_AreTheSamePlace()
    {
        GridPoint at = Utm.ToGrid(GeographicPoint.FromDegrees(-14.2371, -57.4862));
        Put(
            "points.csv",
            "id,easting,northing,latitude,longitude,height,sigma_horizontal,role",
            FormattableString.Invariant($"A,{at.EastingMetres:F4},{at.NorthingMetres:F4},,,1180,0.015,"),
            "B,,,-14.2371,-57.4862,1180,,check"
        );
        Put("marks.csv", "id,file,page,column,row,sigma_pixels", @"A,001\x_5.tif,2,150.88,331.1,0.35", "B,y.tif,,1,2,");
        GroundControl control = GroundControlFiles.Read(folder, Utm)!;
        LocalFrame frame = new(control.Points[0].Place);
        Assert.InRange(frame.ToLocal(control.Points[1].Place).Length, 0, 1e-3);
        Assert.Equal([false, true], control.Points.Select(point => point.IsCheckpoint));
        Assert.Equal([0.015, 0.02], control.Points.Select(point => point.HorizontalSigmaMetres));
        Assert.Equal(["001/x_5.tif", "y.tif"], control.Marks.Select(mark => mark.File));
        Assert.Equal([2, 0], control.Marks.Select(mark => mark.Page));
        Assert.Equal(150.88, control.Marks[0].Pixel.Column);
    }

    [Theory]
    [InlineData("id,easting,northing", "A,1,2", "height")]
    [InlineData("id,easting,northing,height", "A,5e5,8e6,high", "high")]
    [InlineData("id,latitude,longitude,height", "A,95,10,3", "95")]
    [InlineData("id,latitude,longitude,height", "A,,10,3", "latitude")]
    [InlineData("id,latitude,longitude,height,role", "A,5,10,3,judge", "judge")]
    [InlineData("id,latitude,longitude,height", "A,5,10,3\nA,5,10,3", "twice")]
    public void Read_WrongLine_SaysWhat(string names, string line, string told)
    {
        Put("points.csv", names, line);
        InputProblemException problem = Assert.Throws<InputProblemException>(() =>
            GroundControlFiles.Read(folder, Utm)
        );
        Assert.Contains(told, problem.Message, StringComparison.Ordinal);
        Assert.Contains("points.csv", problem.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Read_MarkOfNoPoint_SaysWhich()
    {
        Put("points.csv", "id,latitude,longitude,height", "A,5,10,3");
        Put("marks.csv", "id,file,column,row", "C,x.tif,1,2");
        InputProblemException problem = Assert.Throws<InputProblemException>(() =>
            GroundControlFiles.Read(folder, Utm)
        );
        Assert.Contains("line 2", problem.Message, StringComparison.Ordinal);
        Assert.Contains("no point C", problem.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Read_GeoJson_IsTheSameAsCsv()
    {
        Put(
            "points.csv",
            "id,latitude,longitude,height,height_reference,role,sigma_height",
            "A,-14.2371,-57.4862,1180.5,egm96,check,0.05",
            "7,-14.25,-57.5,1170,,,"
        );
        GroundControl csv = GroundControlFiles.Read(folder, Utm)!;
        File.Delete(Path.Combine(folder, "points.csv"));
        Put(
            "points.geojson",
            """
            {"type": "FeatureCollection", "features": [
              {"type": "Feature", "geometry": {"type": "Point", "coordinates": [-57.4862, -14.2371, 1180.5]},
               "properties": {"id": "A", "role": "check", "height_reference": "egm96", "sigma_height": 0.05, "who": {}}},
              {"type": "Feature", "geometry": {"type": "Point", "coordinates": [-57.5, -14.25]},
               "properties": {"id": 7, "height": "1170", "role": null}}]}
            """
        );
        Put("marks.csv", "id,file,column,row", "7,x.tif,1,2");
        GroundControl read = GroundControlFiles.Read(folder, Utm)!;
        Assert.Equal(csv.Points, read.Points);
        Assert.Equal("7", Assert.Single(read.Marks).PointId);
    }

    [Theory]
    [InlineData("{\"features\": [", "no JSON")]
    [InlineData("[1, 2]", "no feature collection")]
    [InlineData("{\"features\": [3]}", "feature 1")]
    [InlineData("{\"features\": [{\"geometry\": {\"type\": \"Point\", \"coordinates\": [1]}}]}", "no point")]
    [InlineData("{\"features\": [{\"geometry\": {\"type\": 5, \"coordinates\": [1, 2]}}]}", "no point")]
    [InlineData("{\"features\": [{\"geometry\": {\"type\": \"Point\", \"coordinates\": [1, 95, 3]}}]}", "95")]
    [InlineData("{\"features\": [{\"geometry\": {\"type\": \"Point\", \"coordinates\": [1, 5, 3]}}]}", "id is missing")]
    [InlineData(
        "{\"features\": [{\"geometry\": {\"type\": \"Point\", \"coordinates\": [1, 5]}, \"properties\": {\"id\": \"A\"}}]}",
        "height is missing"
    )]
    [InlineData(
        "{\"features\": [{\"geometry\": {\"type\": \"Point\", \"coordinates\": [1, 5, 3]}, \"properties\": {\"id\": \"\\uD800\"}}]}",
        "no JSON"
    )]
    public void Read_WrongGeoJson_SaysWhat(string text, string told)
    {
        Put("points.geojson", text);
        InputProblemException problem = Assert.Throws<InputProblemException>(() =>
            GroundControlFiles.Read(folder, Utm)
        );
        Assert.Contains(told, problem.Message, StringComparison.Ordinal);
        Assert.Contains("points.geojson", problem.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Read_BothKindsOfPoints_Refuses()
    {
        Put("points.csv", "id,latitude,longitude,height", "A,5,10,3");
        Put("points.geojson", "{\"features\": []}");
        Assert.Contains(
            "both",
            Assert.Throws<InputProblemException>(() => GroundControlFiles.Read(folder, Utm)).Message,
            StringComparison.Ordinal
        );
    }

    private void Put(string name, params string[] lines) => File.WriteAllLines(Path.Combine(folder, name), lines);
}
