using Hillrow.Numerics;
using Hillrow.Plants;
using Microsoft.Data.Sqlite;

namespace Hillrow.Estate;

/// <summary>What a survey found in one block.</summary>
/// <param name="Verdict">Done, degraded or refused.</param>
/// <param name="Reasons">Doubts, and how the block was looked at.</param>
/// <param name="Learning">What labels taught, and whether it is used; empty without labels.</param>
public sealed record BlockInventory(
    string Block,
    int Plants,
    int Gaps,
    int Hidden,
    int Rows,
    double? RowSpacingMetres,
    double? PlantSpacingMetres,
    StageVerdict Verdict,
    IReadOnlyList<string> Reasons,
    string Learning
);

/// <summary>What a survey found, block by block, as plants.json says.</summary>
public sealed record SurveyInventory(string Survey, IReadOnlyList<BlockInventory> Blocks)
{
    /// <param name="estate">The estate.</param>
    /// <param name="survey">Its id; null: the last that has plants.</param>
    /// <exception cref="InputProblemException">No such survey, or its plants were not looked for yet.</exception>
    public static SurveyInventory Read(EstateFolder estate, string? survey)
    {
        ArgumentNullException.ThrowIfNull(estate);
        using SqliteConnection connection = estate.OpenDatabase();
        List<(string Survey, string Place)> known = GeoPackageConnection.Query(
            connection,
            "SELECT subject, place FROM run_steps WHERE step = $step AND place <> '' ORDER BY subject",
            row => (row.GetString(0), row.GetString(1)),
            ("$step", PlantsStep.Name)
        );
        (string Survey, string Place)[] asked =
        [
            .. survey is null ? known.TakeLast(1) : known.Where(entry => entry.Survey == survey),
        ];
        if (asked.Length == 0)
        {
            throw new InputProblemException(
                survey is null ? estate.Root : $"survey {survey}",
                "has no plants yet.",
                known.Count == 0
                    ? $"Look for them with `hillrow run {estate.Root}`."
                    : $"There are: {string.Join(", ", known.Select(entry => entry.Survey))}."
            );
        }

        StoredPlants plants = StageJson.Read<StoredPlants>(
            Path.Combine(estate.Root, asked[0].Place, PlantsStep.FileName)
        );
        return new SurveyInventory(asked[0].Survey, [.. plants.Parts.Select(part => Of(part.Found))]);
    }

    private static BlockInventory Of(BlockPlants found) =>
        new(
            found.Block,
            found.Plants.Count,
            found.Gaps.Count,
            found.Hidden.Count,
            found.Rows.Count,
            found.RowSpacingMetres > 0 ? found.RowSpacingMetres : null,
            found.PlantSpacingMetres > 0 ? found.PlantSpacingMetres : null,
            found.Outcome.Verdict,
            found.Outcome.Reasons,
            found.Learning?.Told ?? ""
        );
}
