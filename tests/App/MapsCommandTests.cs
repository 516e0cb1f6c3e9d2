using System.Text.Json;
using Hillrow.Earth;
using Hillrow.Imaging;
using Xunit;
using static Hillrow.App.Tests.CommandAnswer;

namespace Hillrow.App.Tests;

/// <summary>Maps by name and by formula, on a small map that was brought from elsewhere.</summary>
public sealed class MapsCommandTests : IDisposable
{
    private const int Rows = 30;
    private const int Columns = 40;
    private readonly string folder = Directory.CreateTempSubdirectory("hillrow-maps-").FullName;

    public MapsCommandTests()
    {
        string map = Path.Combine(folder, "brought.tif");
        float[][] bands =
        [
            [.. Enumerable.Range(0, Rows * Columns).Select(cell => 0.03f + (0.0001f * (cell % Columns)))],
            [.. Enumerable.Range(0, Rows * Columns).Select(cell => 0.05f + (0.0001f * (cell / Columns)))],
            [.. Enumerable.Range(0, Rows * Columns).Select(_ => 0.45f)],
        ];
        GridGeometry grid = new(
            ReferenceSystem.Utm(18, north: false),
            new GridPoint(467_000, 9_198_000),
            0.5,
            Rows,
            Columns
        );
        Cog.Write(
            map,
            new Raster<float>(
                new RasterLabel(grid, [new BandLabel("green"), new BandLabel("red"), new BandLabel("nir")]),
                bands
            )
        );
        Assert.Equal(0, Run("new", Estate, "--name", "Vale", "--zone", "18S").Code);
        CommandAnswer added = Run(
            "survey",
            "add",
            Estate,
            "--map",
            map,
            "--bands",
            "green,red,nir",
            "--reflectance-one",
            "1",
            "--date",
            "2026-03-14"
        );
        Assert.True(added.Code == 0, added.Error);
        // Without a block there is nothing to find in the map; the map itself is made.
        _ = Run("run", Estate);
    }

    private string Estate => Path.Combine(folder, "estate");

    public void Dispose()
    {
        foreach (string file in Directory.EnumerateFiles(folder, "*", SearchOption.AllDirectories))
        {
            File.SetAttributes(file, FileAttributes.Normal);
        }

        Directory.Delete(folder, recursive: true);
    }

    [Fact]
    public void NameAndFormulaOfTheSame_GiveTheSameValues()
    {
        string into = Path.Combine(folder, "out");
        CommandAnswer answer = Run(
            "maps",
            Estate,
            "--index",
            "NDVI",
            "--index",
            "(nir - red) / (nir + red)",
            "--composite",
            "nir,red,green",
            "--to",
            into,
            "--json"
        );
        Assert.True(answer.Code == 0, answer.Error);
        Assert.Equal(5, answer.Result.GetProperty("files").GetArrayLength());
        float[] byName = Read(Path.Combine(into, "ndvi.tif"));
        Assert.Equal(byName, Read(Path.Combine(into, "nir-minus-red-over-nir-plus-red.tif")));
        double expected = (0.45 - 0.051) / (0.45 + 0.051);
        Assert.Equal(expected, byName[(10 * Columns) + 3], 0.001);
        byte[] picture = File.ReadAllBytes(Path.Combine(into, "nir-red-green.png"));
        Assert.Equal([0x89, (byte)'P', (byte)'N', (byte)'G'], picture[..4]);
    }

    [Fact]
    public void WithoutAWish_ListsWhatTheBandsAllow()
    {
        JsonElement[] offers = [.. Run("maps", Estate, "--json").Result.GetProperty("indices").EnumerateArray()];
        Assert.Equal(JsonValueKind.Null, Offer("NDVI").GetProperty("whyNot").ValueKind);
        Assert.Contains("rededge", Offer("NDRE").GetProperty("whyNot").GetString()!, StringComparison.Ordinal);
        Assert.Contains(
            "--value lowest=",
            Offer("CCCI-scene").GetProperty("whyNot").GetString()!,
            StringComparison.Ordinal
        );
        JsonElement Offer(string name) => offers.Single(offer => offer.GetProperty("name").GetString() == name);
    }

    [Fact]
    public void ValueOfAName_EntersTheFormula()
    {
        string into = Path.Combine(folder, "out");
        CommandAnswer answer = Run("maps", Estate, "--index", "nir * gain", "--value", "gain=2", "--to", into);
        Assert.True(answer.Code == 0, answer.Error);
        Assert.Equal(0.9, Read(Path.Combine(into, "nir-times-gain.tif"))[0], 0.001);
    }

    [Theory]
    [InlineData("--index", "NDRE", "rededge")]
    [InlineData("--index", "nir - thermal", "thermal")]
    [InlineData("--composite", "nir,red", "three")]
    [InlineData("--composite", "nir,red,violet", "violet")]
    [InlineData("--value", "lowest", "NAME=NUMBER")]
    public void WhatCannotBeHad_EndsInOneLineAndWritesNothing(string option, string text, string told)
    {
        string into = Path.Combine(folder, "nothing");
        CommandAnswer answer = Run("maps", Estate, "--index", "NDVI", option, text, "--to", into);
        Assert.Equal(2, answer.Code);
        Assert.Contains(told, answer.Error, StringComparison.Ordinal);
        Assert.Single(answer.Error.TrimEnd().Split('\n'));
        Assert.False(Directory.Exists(into));
    }

    private static float[] Read(string path) => RasterFile.ReadWhole<float>(path).Band(0).ToArray();
}
