using Hillrow.Findings;
using Hillrow.Handover;

namespace Hillrow.Estate;

/// <summary>
/// How good a survey's data are, as findings: the report tells them, so they stand in the table too. A new line of that
/// table is one entry of <see cref="All"/> and a text "quality.WORD" in each language of the report.
/// </summary>
internal static class QualityRows
{
    public const string Question = "quality";
    public const string Subject = "survey";

    /// <summary>In the order of the page.</summary>
    public static IReadOnlyList<QualityFigure> All { get; } =
    [
        new("captures", "captures", FigureForm.Count, survey => survey.Map?.CapturesUsed),
        new("sun", "degrees", FigureForm.Degrees, survey => survey.Map?.SunElevationDegrees),
        new("pixel", "m", FigureForm.Metres, survey => survey.Geometry?.GroundSampleMetres),
        new("reprojection", "pixels", FigureForm.Plain, survey => survey.Geometry?.ReprojectionPixels),
        new("bandshift", "pixels", FigureForm.Plain, survey => survey.Geometry?.BandShiftPixels),
        new("placesigma", "m", FigureForm.Metres, survey => survey.Geometry?.PositionSigmaMetres),
        new("checkpoints", "points", FigureForm.Count, survey => survey.Geometry?.Checkpoints),
        new("rmseh", "m", FigureForm.Metres, survey => survey.AtCheckpoints(found => found.RmseHorizontalMetres)),
        new("rmsev", "m", FigureForm.Metres, survey => survey.AtCheckpoints(found => found.RmseVerticalMetres)),
        new("sigma", "1", FigureForm.Plain, survey => survey.Map?.TypicalRedSigma),
        new("heatbefore", "K", FigureForm.Plain, survey => survey.Heat?.BeforeKelvin),
        new("heatafter", "K", FigureForm.Plain, survey => survey.Heat?.AfterKelvin),
        new("heatlevel", "K", FigureForm.Plain, survey => survey.Heat?.LevelSigmaKelvin),
        new("air", "degree Celsius", FigureForm.Plain, survey => survey.Heat?.AirCelsius),
        new("deficit", "kPa", FigureForm.Plain, survey => survey.Heat?.DeficitKilopascals),
        new("crownair", "K", FigureForm.Plain, survey => survey.Heat?.CrownMinusAirKelvin),
        new("wet", "degree Celsius", FigureForm.Plain, survey => survey.Heat?.WetCelsius),
        new("dry", "degree Celsius", FigureForm.Plain, survey => survey.Heat?.DryCelsius),
        new("judged", "1", FigureForm.Share, survey => survey.JudgedShare),
    ];

    /// <summary>Rows of those that the survey has; a figure that is null is left out of table and page.</summary>
    public static IEnumerable<FindingRow> Of(StepContext context, string survey, FindingsResult result)
    {
        QualitySources sources = QualitySources.Of(context, survey, result);
        foreach (QualityFigure figure in All)
        {
            if (figure.Of(sources) is { } value)
            {
                yield return new FindingRow(survey, Question)
                {
                    Key = FindingRows.KeyOf(survey, Question, Subject, figure.Word),
                    Value = value,
                    Unit = figure.Unit,
                };
            }
        }
    }
}

/// <param name="Word">Quantity in the row's key, and behind "quality." in the report's texts.</param>
/// <param name="Unit">Of the row.</param>
/// <param name="Form">How the page writes it.</param>
/// <param name="Of">Its value, NaN when it could not be had, null when the survey has no such thing.</param>
internal sealed record QualityFigure(string Word, string Unit, FigureForm Form, Func<QualitySources, double?> Of);

/// <summary>What the steps of one survey said of themselves; null where a step gave nothing.</summary>
internal sealed record QualitySources(
    StoredMap? Map,
    StoredGeometry? Geometry,
    StoredTemperature? Heat,
    double JudgedShare
)
{
    /// <summary>Null when there are no checkpoints.</summary>
    public double? AtCheckpoints(Func<StoredGeometry, double> figure) =>
        Geometry is { Checkpoints: > 0 } found ? figure(found) : null;

    public static QualitySources Of(StepContext context, string survey, FindingsResult result)
    {
        string mapping = SurveyInputs.NameOf(survey, MappingStep.Name);
        string reconstruction = SurveyInputs.NameOf(survey, ReconstructionStep.Name);
        string heat = SurveyInputs.NameOf(survey, TemperatureStep.Name);
        int seen = result.Blocks.Sum(block => block.Plants);
        return new QualitySources(
            context.Has(mapping) ? MappingStep.Figures(context, mapping) : null,
            context.Has(reconstruction) ? ReconstructionStep.Geometry(context, reconstruction) : null,
            context.Has(heat) ? TemperatureStep.Figures(context, heat) : null,
            seen == 0 ? double.NaN : (double)result.Blocks.Sum(block => block.Judged) / seen
        );
    }
}
