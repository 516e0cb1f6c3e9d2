namespace Hillrow.Estate;

/// <summary>
/// Where a survey's heights lie: with the poses they were found with, or with the map that they were brought with.
/// </summary>
internal static class HeightFiles
{
    public const string Surface = "surface.tif";
    public const string Ground = "ground.tif";
    public const string Canopy = "canopy.tif";

    /// <summary>How many captures confirm a cell's height; 0 where it was filled in from around.</summary>
    public const string Confidence = "confidence.tif";

    /// <summary>Standard error of canopy height, metres; maps that were brought have none.</summary>
    public const string CanopySigma = "canopy-sigma.tif";

    /// <param name="context">Of a step that declares the survey's reconstruction or its map as inputs.</param>
    /// <param name="file">One of the names above.</param>
    /// <param name="survey">Null in a survey's own step; its id in a step of the whole estate.</param>
    /// <returns>Null when the survey has no heights.</returns>
    public static string? Find(StepContext context, string file, string? survey = null)
    {
        foreach (string step in (string[])[ReconstructionStep.Name, MappingStep.Name])
        {
            string input = survey is null ? step : SurveyInputs.NameOf(survey, step);
            if (context.Has(input) && File.Exists(Path.Combine(context.PathOf(input), file)))
            {
                return Path.Combine(context.PathOf(input), file);
            }
        }

        return null;
    }
}
