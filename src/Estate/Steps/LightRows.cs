using Hillrow.Handover;

namespace Hillrow.Estate;

/// <summary>How far a survey's colours can be trusted, band by band, as findings: the report's page on it tells these rows.</summary>
internal static class LightRows
{
    public const string Question = "light";

    /// <summary>A quantity of each band: the row's word, and the report's column "light.col.WORD"; in the order of the page.</summary>
    public static IReadOnlyList<(string Word, FigureForm Form, Func<StoredBandLight, double?> Of)> All { get; } =
    [
        ("width", FigureForm.Share, band => band.Width90),
        ("levels", FigureForm.Count, band => band.PanelLevels),
        ("residual", FigureForm.Share, band => band.PanelResidual),
        ("change", FigureForm.Share, band => band.LightChange),
        ("sensor", FigureForm.Share, band => band.SensorDisagreement),
        ("makers", FigureForm.Share, band => band.MakersDisagreement),
        ("before", FigureForm.Share, band => band.OverlapBefore),
        ("after", FigureForm.Share, band => band.OverlapAfter),
    ];

    /// <summary>None for a survey without this step.</summary>
    public static IEnumerable<FindingRow> Of(StepContext context, string survey)
    {
        string input = SurveyInputs.NameOf(survey, LightStep.Name);
        if (!context.Has(input))
        {
            yield break;
        }

        foreach (StoredBandLight band in LightStep.Figures(context, input).Bands)
        {
            foreach ((string word, _, Func<StoredBandLight, double?> of) in All)
            {
                if (of(band) is { } value)
                {
                    yield return new FindingRow(survey, Question)
                    {
                        Key = FindingRows.KeyOf(survey, Question, band.Band, word),
                        Value = value,
                        Unit = word == "levels" ? "levels" : "1",
                    };
                }
            }
        }
    }

    /// <summary>What the report says, from a survey's stored figures; null when there is nothing of it.</summary>
    public static LightSummary? Summary(string survey, IEnumerable<StoredFigure> figures)
    {
        string start = $"{survey}|{Question}|";
        Dictionary<string, StoredFigure> own = [];
        List<string> bands = [];
        foreach (StoredFigure figure in figures.Where(figure => figure.Key.StartsWith(start, StringComparison.Ordinal)))
        {
            own[figure.Key] = figure;
            string band = figure.Key.Split('|')[2];
            if (!bands.Contains(band))
            {
                bands.Add(band);
            }
        }

        string[] words = [.. All.Select(entry => entry.Word).Where(word => bands.Exists(band => Has(band, word)))];
        return bands.Count == 0
            ? null
            : new LightSummary(
                words,
                [
                    .. bands.Select(band => new LightRow(
                        band,
                        [
                            .. words.Select(word => new ReportFigure(
                                Key(band, word),
                                Has(band, word) ? own[Key(band, word)].Value : double.NaN,
                                All.First(entry => entry.Word == word).Form
                            )),
                        ]
                    )),
                ]
            );

        string Key(string band, string word) => FindingRows.KeyOf(survey, Question, band, word);
        bool Has(string band, string word) => own.ContainsKey(Key(band, word));
    }
}
