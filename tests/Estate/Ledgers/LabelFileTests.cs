using Hillrow.Earth;
using Hillrow.Numerics;
using Hillrow.Plants;
using Xunit;

namespace Hillrow.Estate.Tests;

public sealed class LabelFileTests : IDisposable
{
    private readonly string file = Path.Combine(Path.GetTempPath(), $"labels-{Guid.NewGuid():N}.txt");

    public void Dispose() => File.Delete(file);

    [Fact]
    public void Read_CsvAndGeoJson_SayTheSame()
    {
        File.WriteAllText(file, "label;longitude;latitude\nThin;-75.5;4.25\n\nweed;-75.25;4.125\n");
        IReadOnlyList<PlaceLabel> csv = LabelFile.Read(file);
        File.WriteAllText(
            file,
            """
            {"type":"FeatureCollection","features":[
              {"type":"Feature","properties":{"label":"thin"},"geometry":{"type":"Point","coordinates":[-75.5,4.25]}},
              {"type":"Feature","properties":{"label":"weed"},"geometry":{"type":"Point","coordinates":[-75.25,4.125]}}]}
            """
        );
        Assert.Equal(csv, LabelFile.Read(file));
        Assert.Equal(["thin", "weed"], csv.Select(label => label.Word));
        Assert.Equal(4.25, csv[0].Place.Latitude.Degrees, 9);
    }

    [Theory]
    [InlineData("latitude,longitude,label\n4.25,-75.5,shrub\n", "line 2")]
    [InlineData("latitude,longitude,label\n94.25,-75.5,weed\n", "line 2")]
    [InlineData("latitude,longitude\n4.25,-75.5\n", "label")]
    [InlineData("latitude,longitude,label\n", "no label")]
    [InlineData("{\"features\":[{\"properties\":{}}]}", "cannot be read")]
    public void Read_AtFault_SaysWhere(string text, string told)
    {
        File.WriteAllText(file, text);
        InputProblemException problem = Assert.Throws<InputProblemException>(() => LabelFile.Read(file));
        Assert.Contains(told, problem.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void SurveyLabels_SingleCorrectionsAlone_SetOffNoSearch_ButTeachWhereLabelsDo()
    {
        GridPoint here = new(500_010, 9_200_020);
        GridPoint there = new(500_020, 9_200_020);
        DateOnly day = new(2026, 5, 3);
        PlantCorrection weed = new(CorrectionKind.NotPlant, "2026-03-14", 6, here, day);
        Assert.Empty(SurveyLabels.Of([weed], "2026-03-14"));
        PlantCorrection label = new(CorrectionKind.Label, "2026-03-14", null, there, day) { Word = "thin" };
        Assert.Equal(
            [new PlantLabel(here, false, Binding: false), new PlantLabel(there, true, Binding: true)],
            SurveyLabels.Of([weed, label], "2026-03-14")
        );
        Assert.Empty(SurveyLabels.Of([weed, label], "2026-09-14"));
    }
}
