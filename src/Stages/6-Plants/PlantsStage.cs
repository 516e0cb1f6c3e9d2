using Hillrow.Earth;
using Hillrow.Numerics;

namespace Hillrow.Plants;

/// <summary>The door of the room: maps and blocks in, rows, plants, gaps, crowns and measures out.</summary>
public static class PlantsStage
{
    /// <summary>Works block by block; memory is bounded by the largest block (about 25 bytes a map cell).</summary>
    /// <param name="input">All maps in one metric reference system.</param>
    /// <param name="settings">How to find and measure.</param>
    /// <param name="progress">Told after every block.</param>
    /// <param name="cancel">Looked at between the steps of a block.</param>
    /// <returns>A result for every block, in their order; the same for any number of threads.</returns>
    /// <exception cref="InputProblemException">A needed band is absent, maps do not agree, or a setting is out of range.</exception>
    public static PlantsResult Run(
        PlantsInput input,
        PlantsSettings settings,
        IProgress<WorkProgress>? progress,
        CancellationToken cancel
    )
    {
        ArgumentNullException.ThrowIfNull(input);
        ArgumentNullException.ThrowIfNull(settings);
        settings.Checked();
        Check(input);
        List<BlockPlants> blocks = [];
        StageOutcome outcome = StageOutcome.Done;
        int refused = 0;
        for (int at = 0; at < input.Blocks.Count; at++)
        {
            cancel.ThrowIfCancellationRequested();
            progress?.Report(new WorkProgress("finding plants", (double)at / input.Blocks.Count));
            BlockPlants found = new BlockFinder(input, input.Blocks[at], settings).Find(cancel);
            blocks.Add(found);
            refused += found.Outcome.Usable ? 0 : 1;

            // One block that cannot be told does not spoil the others.
            outcome = outcome.With(
                found.Outcome.Usable ? found.Outcome : StageOutcome.Degraded([.. found.Outcome.Reasons])
            );
        }

        progress?.Report(new WorkProgress("finding plants", 1));
        if (refused > 0 && refused == input.Blocks.Count)
        {
            outcome = StageOutcome.Refused([.. outcome.Reasons]);
        }

        return new PlantsResult(outcome, blocks);
    }

    private static void Check(PlantsInput input)
    {
        foreach (string band in (string[])["red", "nir"])
        {
            if (input.Reflectance.IndexOf(band) is null)
            {
                throw new InputProblemException(
                    "Reflectance map",
                    $"it has no band \"{band}\" (there are: {string.Join(", ", input.Reflectance.BandNames)}).",
                    "Name its bands blue, green, red, rededge, nir."
                );
            }
        }

        if (input.Blocks.Count == 0)
        {
            throw new InputProblemException("Estate", "no block is drawn.", "Add a block's boundary first.");
        }

        (string Name, MapLayer? Layer)[] others =
        [
            ("Surface", input.Surface),
            ("Ground", input.Ground),
            ("Shadow map", input.Shadow),
            ("Uncertainty map", input.Sigma),
            ("Height uncertainty map", input.HeightSigma),
        ];
        foreach ((string name, MapLayer? layer) in others)
        {
            ReferenceSystem wanted = input.Reflectance.Grid.ReferenceSystem;
            if (layer is not null && !layer.Grid.ReferenceSystem.Equals(wanted))
            {
                throw new InputProblemException(
                    name,
                    $"it is in {layer.Grid.ReferenceSystem}, the reflectance map in {wanted}.",
                    "Bring both into one reference system."
                );
            }
        }

        foreach (PlantBlock block in input.Blocks)
        {
            if (block.RowSpacingMetres is <= 0.3 or > 30 || block.PlantSpacingMetres is <= 0.15 or > 30)
            {
                throw new InputProblemException(
                    $"Block {block.Name}",
                    $"spacings of {block.PlantSpacingMetres} m in the row and {block.RowSpacingMetres} m between rows make no sense.",
                    "Give metres, or leave them out to have them found."
                );
            }
        }
    }
}
