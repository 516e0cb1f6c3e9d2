namespace Hillrow.Estate;

/// <summary>Marks numbers that a person said are no plants.</summary>
internal static class NotPlants
{
    public static Ledger Mark(Ledger ledger, IEnumerable<PlantCorrection> corrections)
    {
        HashSet<long> none = [];
        foreach (
            PlantCorrection correction in corrections.Where(entry =>
                entry.Kind == CorrectionKind.NotPlant && entry.Plant is not null
            )
        )
        {
            // The number may have been merged since: then the sighting's plant is meant.
            long number = correction.Plant!.Value;
            if (number < 1 || number > ledger.Plants.Count)
            {
                continue;
            }

            LedgerPlant plant = ledger[number];
            none.Add(plant.State == LedgerState.Merged ? plant.MergedInto : number);
        }

        return none.Count == 0
            ? ledger
            : ledger with
            {
                Plants =
                [
                    .. ledger.Plants.Select(plant =>
                        none.Contains(plant.Number) ? plant with { State = LedgerState.NotPlant } : plant
                    ),
                ],
            };
    }
}
