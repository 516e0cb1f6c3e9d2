using Hillrow.Numerics;
using Hillrow.Planning;
using Hillrow.Sight;

namespace Hillrow.Checks;

/// <summary>What a planner must refuse, with the reason and what would work; each remedy is tried out.</summary>
public static class PlanRefusalCases
{
    private static readonly PlanPolygon Block = PlanScene.Rectangle(-90, -60, 180, 120);

    private static readonly PlanPoint Home = new(-100, -80);

    /// <summary>The name of each case that was not refused as it must be, with what happened.</summary>
    public static IReadOnlyList<string> Wrong()
    {
        HeightField level = PlanScene.Ground(400, 20, (_, _) => 0);
        HeightField holed = PlanScene.Ground(
            400,
            20,
            (east, north) => Math.Abs(east) + Math.Abs(north) < 30 ? double.NaN : 0
        );
        HeightField ridge = PlanScene.Ground(900, 10, (_, north) => 140 * Math.Exp(-Math.Pow((north - 200) / 40, 2)));
        PlanningInput plain = PlanScene.Input(level, 1, [Block], Home);
        PlanPoint behind = new(0, 420);
        (
            string Name,
            PlanningInput Input,
            PlanningSettings Settings,
            string[] Told,
            PlanningInput Works,
            PlanningSettings With
        )[] cases =
        [
            (
                "pixel against the ceiling",
                plain,
                new() { PixelMetres = 0.09 },
                ["ceiling", "7.5 cm"],
                plain,
                new() { PixelMetres = 0.075 }
            ),
            (
                "overlap against the trigger",
                plain,
                new() { ForwardOverlap = 0.95, PixelMetres = 0.025 },
                ["interval", "% or less"],
                plain,
                new() { ForwardOverlap = 0.9, PixelMetres = 0.025 }
            ),
            (
                "void under the route",
                plain with
                {
                    Terrain = holed,
                },
                new(),
                ["no height", "terrain tile"],
                plain,
                new()
            ),
            (
                "home too far",
                plain with
                {
                    Homes = [new HomePoint("far", new PlanPoint(-350, -350))],
                },
                new() { LineOfSightMetres = 300 },
                ["out of sight", "Add a home near"],
                plain,
                new() { LineOfSightMetres = 300 }
            ),
            (
                "home behind a ridge",
                plain with
                {
                    Terrain = ridge,
                    Homes = [new HomePoint("behind", behind)],
                },
                new() { LineOfSightMetres = 1000 },
                ["out of sight", "Add a home near"],
                plain with
                {
                    Terrain = ridge,
                },
                new() { LineOfSightMetres = 1000 }
            ),
            (
                "pixel below the clearance",
                plain with
                {
                    TerrainSigmaMetres = 9.7,
                },
                new() { PixelMetres = 0.02 },
                ["clearance", "better surface"],
                plain with
                {
                    TerrainSigmaMetres = 0.5,
                    Aircraft = PlanScene.Aircraft with { HeightSigmaMetres = 0.5 },
                },
                new() { PixelMetres = 0.02 }
            ),
        ];
        List<string> wrong = [];
        foreach (
            (
                string name,
                PlanningInput input,
                PlanningSettings settings,
                string[] told,
                PlanningInput works,
                PlanningSettings with
            ) in cases
        )
        {
            try
            {
                PlanningStage.Run(input, settings);
                wrong.Add($"{name}: was planned");
            }
            catch (InputProblemException problem)
            {
                wrong.AddRange(
                    told.Where(word => !problem.Message.Contains(word, StringComparison.Ordinal))
                        .Select(word => $"{name}: \"{word}\" is not in: {problem.Message}")
                );
            }

            try
            {
                PlanningStage.Run(works, with);
            }
            catch (InputProblemException problem)
            {
                wrong.Add($"{name}: what would work is refused: {problem.Message}");
            }
        }

        return wrong;
    }
}
