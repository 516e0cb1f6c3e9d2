using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Rehearsal.Tests;

/// <summary>A user's own terrain file under the modelled estate.</summary>
public sealed class GivenTerrainTests : IDisposable
{
    private const double PostMetres = 10;
    private readonly string folder = Directory.CreateTempSubdirectory("terrain").FullName;

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Fact]
    public void Build_TiltedPlane_EstateLiesOnIt()
    {
        string file = Write("tilted", 40, (east, north) => 900 + (0.3 * north) - (0.05 * east));
        RehearsedEstate estate = Build(file);
        Func<double, double, double> height = HillsideTerrain.Smooth(estate.Model);
        Assert.Equal(0, height(0, 0), 0.02);
        // Map north and local north differ by the meridian's convergence, below a degree.
        double rise = (height(0, 20) - height(0, -20)) / 40;
        Assert.Equal(0.3, rise, 0.01);
        Assert.Equal(-0.05, (height(20, 0) - height(-20, 0)) / 40, 0.01);
        Assert.True(estate.History[0].Plants.Count > 200);
    }

    [Fact]
    public void Build_LevelGround_HasRowsAllTheSame()
    {
        RehearsedEstate estate = Build(Write("level", 40, (_, _) => 850));
        foreach (BlockPlan block in estate.Layout.Blocks)
        {
            int index = estate.Layout.Blocks.ToList().IndexOf(block);
            Assert.True(estate.History[0].Plants.Count(state => state.Plant.BlockIndex == index) > 15, block.Name);
        }
    }

    [Fact]
    public void Build_HoleInTheFile_IsRefused() =>
        Refused(Write("hole", 40, (east, north) => Math.Abs(east - 12) < 8 && Math.Abs(north) < 8 ? double.NaN : 900));

    [Fact]
    public void Build_FileThatEndsAtTheEstate_IsRefused() => Refused(Write("small", 6, (_, _) => 900));

    private static void Refused(string file)
    {
        InputProblemException problem = Assert.Throws<InputProblemException>(() => Build(file));
        Assert.Contains(file, problem.Message, StringComparison.Ordinal);
        Assert.Contains("does not cover", problem.Message, StringComparison.Ordinal);
    }

    private static RehearsedEstate Build(string file) =>
        RehearsedEstate.Build(
            new RehearsedEstateSettings
            {
                Seed = 4,
                Hectares = 0.3,
                TerrainFile = file,
            }
        );

    private string Write(string name, int posts, Func<double, double, double> heightAt)
    {
        double west = 450_000;
        double north = 8_426_000;
        GridGeometry grid = new(ReferenceSystem.Utm(21, false), new GridPoint(west, north), PostMetres, posts, posts);
        float[] heights = new float[posts * posts];
        double middle = posts / 2.0;
        for (int at = 0; at < heights.Length; at++)
        {
            double east = ((at % posts) + 0.5 - middle) * PostMetres;
            double up = (middle - 0.5 - (at / posts)) * PostMetres;
            heights[at] = (float)heightAt(east, up);
        }

        string path = Path.Combine(folder, name + ".tif");
        Cog.Write(
            path,
            new Raster<float>(
                RasterLabel.OfOneBand(grid, "height", "m") with
                {
                    Heights = VerticalReference.Egm96Geoid,
                },
                [heights]
            )
        );
        return path;
    }
}
