using Xunit;

namespace Hillrow.Rehearsal.Tests;

public sealed class ThermalRendererTests
{
    private static readonly ThermalWeather Weather = new(297, 270, 0.00035);

    private static readonly ThermalCamera Camera = ThermalCamera.Build(4);

    [Fact]
    public void Render_OneAndTwoThreads_SameNumbers()
    {
        ThermalTruth one = Render(1);
        ThermalTruth two = Render(2);
        Assert.Equal(one.BrightnessKelvin, two.BrightnessKelvin);
        Assert.Equal(one.SurfaceKelvin, two.SurfaceKelvin);
        Assert.Equal(one.Crowns, two.Crowns);
    }

    [Fact]
    public void Render_AnyScene_SurfacesAreOrderedAsInTheField()
    {
        ThermalTruth truth = Render(2);
        Dictionary<int, PlantState> plants = SmallEstate.Scene.Planting.Plants.ToDictionary(state =>
            state.Plant.Number
        );
        CrownHeat[] seen = [.. truth.Crowns.Where(crown => crown.Pixels > 5)];
        double[] sound =
        [
            .. seen.Where(crown => SurfaceHeat.StressOf(plants[crown.Plant]) < 0.25)
                .Select(crown => crown.SurfaceKelvin),
        ];
        double[] thirsty =
        [
            .. seen.Where(crown => SurfaceHeat.StressOf(plants[crown.Plant]) > 0.5)
                .Select(crown => crown.SurfaceKelvin),
        ];
        Assert.True(sound.Length > 20 && thirsty.Length > 2, $"{sound.Length} sound, {thirsty.Length} thirsty");
        // Well-watered crowns are within 2 K of the air; thirsty ones are warmer by a kelvin or more.
        Assert.InRange(sound.Average(), Weather.AirKelvin - 2, Weather.AirKelvin + 2);
        Assert.True(thirsty.Average() > sound.Average() + 1, $"{thirsty.Average()} against {sound.Average()}");
        // Sunlit soil is the hottest that is seen, far above the leaves.
        Assert.InRange(truth.SurfaceKelvin.Max(), Weather.AirKelvin + 9, Weather.AirKelvin + 25);
        // Surfaces of emissivity below 1 under a cold sky look a little colder than they are.
        double colder = truth.SurfaceKelvin.Average() - truth.BrightnessKelvin.Average();
        Assert.InRange(colder, 0.1, 2.5);
    }

    [Fact]
    public void StressOf_SickOrDead_IsAboveThatOfTheSamePlantSound()
    {
        PlantState sound = SmallEstate.Scene.Planting.Plants.First(state =>
            state is { IsDead: false, PestSeverity: 0 }
        );
        double own = SurfaceHeat.StressOf(sound);
        Assert.InRange(own, 0, 0.5);
        Assert.Equal(0.4, SurfaceHeat.StressOf(sound with { PestSeverity = 0.5 }) - own, 1e-9);
        Assert.Equal(1.3, SurfaceHeat.StressOf(sound with { IsDead = true }));
    }

    [Fact]
    public void Expose_LevelScene_CountsAreTheReportedTemperature()
    {
        float[] level = new float[ThermalCamera.Columns * ThermalCamera.Rows];
        Array.Fill(level, 305);
        ushort[] counts = Camera.Expose(level, 0.7, 5);
        double sum = 0;
        double squares = 0;
        for (int at = 0; at < counts.Length; at++)
        {
            double kelvin = (counts[at] * ThermalCamera.KelvinPerCount) + ThermalCamera.OffsetKelvin;
            double miss = kelvin - Camera.Reported(305, at % ThermalCamera.Columns, at / ThermalCamera.Columns, 0.7);
            sum += miss;
            squares += miss * miss;
        }

        Assert.Equal(0, sum / counts.Length, 0.002);
        Assert.Equal(Camera.NoiseKelvin, Math.Sqrt(squares / counts.Length), 0.003);
        Assert.Equal(305.7, Camera.Reported(305, 120, 90, 0.7), 0.6);
    }

    private static ThermalTruth Render(int threads) =>
        new ThermalRenderer(SmallEstate.Scene, Camera).Render(
            SmallEstate.AboveCrowns(60),
            0,
            FrameRendererTests.Calm,
            Weather,
            0.4,
            9,
            threads
        );
}
