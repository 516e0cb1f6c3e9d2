using Hillrow.Rehearsal;

namespace Hillrow.Validation.Rehearsal;

/// <summary>The modelled estate that the figures are measured on, one date at a time.</summary>
internal static class RehearsedDay
{
    /// <summary>Five seeds, one of them drawn for this run; each decides an estate and a rig. Quick runs take the drawn one.</summary>
    public static IReadOnlyList<ulong> Seeds(ValidationRun run) =>
        run.Quick ? [run.DrawnSeed] : [1_000_003, 1_000_033, 1_000_037, 1_000_039, run.DrawnSeed];

    public static (ModelledScene Scene, EstateSettings Settings) Build(
        EstateSettings settings,
        int date,
        CloudField clouds,
        IReadOnlyList<ControlTarget> targets,
        int threads
    )
    {
        EstateLayout layout = EstateLayout.Build(settings);
        PlantingOnDay planting = PlantingHistory.Build(settings, layout)[date];
        TerrainPosts terrain = HillsideTerrain.Build(settings, layout, threads);
        Vegetation vegetation = Vegetation.Grow(settings, layout, terrain, planting, date, threads);
        LightState light = LightState.Of(38, 51, planting.Day, new ClearSky(0.13, 1.3, 0.86), clouds);
        return (ModelledScene.Build(terrain, vegetation, planting, light, targets, threads), settings);
    }
}
