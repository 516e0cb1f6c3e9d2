using Hillrow.Findings;

namespace Hillrow.Estate;

/// <summary>How good a survey's data are, as findings: the report tells them, so they stand in the table too.</summary>
internal static class QualityRows
{
    public const string Question = "quality";
    public const string Subject = "survey";

    public static IEnumerable<FindingRow> Of(StepContext context, string survey, FindingsResult result)
    {
        string mapping = SurveyInputs.NameOf(survey, MappingStep.Name);
        string reconstruction = SurveyInputs.NameOf(survey, ReconstructionStep.Name);
        if (context.Has(mapping))
        {
            StoredMap map = MappingStep.Figures(context, mapping);
            yield return Row(survey, "captures", map.CapturesUsed, "captures");
            yield return Row(survey, "sun", map.SunElevationDegrees, "degrees");
            yield return Row(survey, "sigma", map.TypicalRedSigma, "1");
        }

        if (context.Has(reconstruction))
        {
            StoredGeometry geometry = ReconstructionStep.Geometry(context, reconstruction);
            yield return Row(survey, "pixel", geometry.GroundSampleMetres, "m");
            yield return Row(survey, "reprojection", geometry.ReprojectionPixels, "pixels");
            yield return Row(survey, "bandshift", geometry.BandShiftPixels, "pixels");
        }

        int seen = result.Blocks.Sum(block => block.Plants);
        yield return Row(
            survey,
            "judged",
            seen == 0 ? double.NaN : (double)result.Blocks.Sum(block => block.Judged) / seen,
            "1"
        );
    }

    private static FindingRow Row(string survey, string quantity, double value, string unit) =>
        new(survey, Question)
        {
            Key = FindingRows.KeyOf(survey, Question, Subject, quantity),
            Value = value,
            Unit = unit,
        };
}
