using Hillrow.Earth;
using Hillrow.Plants;

namespace Hillrow.Estate;

/// <summary>A survey's plants with what people put right about places: moved ones moved, missing ones added at the end.</summary>
internal static class CorrectedPlants
{
    /// <summary>A person's mark on a map or by a phone beside the plant.</summary>
    private const double MarkSigmaMetres = 0.3;

    /// <summary>A correction is taken up where the survey sees the plant, or its place, within this share of the planting distance.</summary>
    private const double GateShare = 0.5;

    public static StoredPlants Of(StoredPlants found, IEnumerable<PlantCorrection> corrections, string survey)
    {
        List<StoredBlockPlants> parts = [.. found.Parts];
        foreach (PlantCorrection correction in corrections.Where(entry => entry.Survey == survey))
        {
            switch (correction)
            {
                case { Kind: CorrectionKind.Moved, MovedTo: { } place }:
                    Move(parts, correction.Sighted, place);
                    break;
                case { Kind: CorrectionKind.Missing }:
                case { Kind: CorrectionKind.Label } when LabelWords.IsPlant(correction.Word):
                    Add(parts, correction.Sighted);
                    break;
                default:
                    break;
            }
        }

        return new StoredPlants(parts);
    }

    /// <summary>Who is who, as people said.</summary>
    public static IReadOnlyList<SamePlant> Same(IEnumerable<PlantCorrection> corrections) =>
        [
            .. corrections
                .Where(entry => entry.SameAs is not null)
                .Select(entry => new SamePlant(
                    new IssuedAt(entry.SameAs!.Value.Survey, entry.SameAs.Value.Place),
                    new IssuedAt(entry.Survey, entry.Sighted)
                )),
        ];

    private static void Move(List<StoredBlockPlants> parts, GridPoint from, GridPoint to)
    {
        for (int part = 0; part < parts.Count; part++)
        {
            if (Sightings.Find(parts[part], from) is { } at)
            {
                List<PlantRecord> plants = [.. parts[part].Found.Plants];
                plants[at] = plants[at] with { Place = to, PlaceSigmaMetres = MarkSigmaMetres };
                parts[part] = parts[part] with { Found = parts[part].Found with { Plants = plants } };
                return;
            }
        }
    }

    private static void Add(List<StoredBlockPlants> parts, GridPoint place)
    {
        int? nearest = null;
        double off = double.PositiveInfinity;
        for (int part = 0; part < parts.Count; part++)
        {
            BlockPlants block = parts[part].Found;
            double distance = block
                .Plants.Select(plant => Sightings.Distance(plant.Place, place))
                .Concat(block.Gaps.Select(gap => Sightings.Distance(gap.Place, place)))
                .Append(double.PositiveInfinity)
                .Min();
            if (distance < off)
            {
                (nearest, off) = (part, distance);
            }
        }

        // Where the survey did find a plant, or the program finds it now, there is nothing to add.
        if (nearest is not { } own || Sightings.Find(parts[own], place) is not null)
        {
            return;
        }

        BlockPlants found = parts[own].Found;
        double gate = GateShare * Math.Max(0.5, found.PlantSpacingMetres);
        EmptyPosition? gap = found
            .Gaps.Concat(found.Hidden)
            .Where(entry => Sightings.Distance(entry.Place, place) < gate)
            .MinBy(entry => Sightings.Distance(entry.Place, place));
        PlantRecord? beside = found.Plants.MinBy(plant => Sightings.Distance(plant.Place, place));
        PlantRecord added = new(
            found.Plants.Count == 0 ? 1 : found.Plants.Max(plant => plant.Index) + 1,
            gap?.Row ?? beside?.Row ?? 1,
            gap?.PositionInRow ?? 0,
            place
        )
        {
            PlaceSigmaMetres = MarkSigmaMetres,
            Quality = PlantQuality.NoHeight | PlantQuality.FewPixels,
        };
        parts[own] = parts[own] with
        {
            Found = found with
            {
                Plants = [.. found.Plants, added],
                Gaps = [.. found.Gaps.Where(entry => entry != gap)],
                Hidden = [.. found.Hidden.Where(entry => entry != gap)],
            },
        };
    }
}
