using Hillrow.Plants;

namespace Hillrow.Estate;

/// <summary>What people said of a survey's places, as the search for plants can learn from it.</summary>
internal static class SurveyLabels
{
    /// <summary>
    /// Empty until places were labelled: single corrections do not set off a new search, but teach where labels do. What
    /// they say of their own plant is put right by later steps, so only labels bind.
    /// </summary>
    public static IReadOnlyList<PlantLabel> Of(IReadOnlyList<PlantCorrection> corrections, string survey)
    {
        PlantCorrection[] own = [.. corrections.Where(correction => correction.Survey == survey)];
        return own.Any(correction => correction.Kind == CorrectionKind.Label)
            ? [.. own.Select(LabelOf).OfType<PlantLabel>()]
            : [];
    }

    private static PlantLabel? LabelOf(PlantCorrection correction) =>
        correction switch
        {
            { Kind: CorrectionKind.Label } => new PlantLabel(
                correction.Sighted,
                LabelWords.IsPlant(correction.Word),
                Binding: true
            ),
            { Kind: CorrectionKind.Moved, MovedTo: { } place } => new PlantLabel(place, IsPlant: true, Binding: false),
            { Kind: CorrectionKind.Missing } => new PlantLabel(correction.Sighted, IsPlant: true, Binding: false),
            { Kind: CorrectionKind.NotPlant } => new PlantLabel(correction.Sighted, IsPlant: false, Binding: false),
            _ => null,
        };
}
