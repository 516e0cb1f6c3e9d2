using Hillrow.Handover;
using Hillrow.Numerics;
using Microsoft.Data.Sqlite;

namespace Hillrow.Estate;

/// <summary>Gathers what the report says of the last survey.</summary>
internal sealed class ReportContents(
    StepContext context,
    ReportSettings settings,
    IReadOnlyDictionary<string, string> words,
    SurveyFindings last,
    SurveyFindings? previous
)
{
    private readonly Dictionary<string, StoredFigure> figures = last.Figures.ToDictionary(figure => figure.Key);

    public ReportContent Compose()
    {
        (IReadOnlyList<string> warnings, IReadOnlyList<MethodNote> methods) = FromRecord();
        return new ReportContent
        {
            EstateName = settings.EstateName,
            Language = settings.Language,
            SurveyDate = SurveyDay.Of(last.Survey),
            PreviousDate = previous is null ? null : SurveyDay.Of(previous.Survey),
            Plants = OfEstate("plants", FigureForm.Count),
            Declining = OfEstate("declining", FigureForm.Count),
            DecliningShare = OfEstate("share", FigureForm.Share),
            Patches = OfEstate("patches", FigureForm.Count),
            NewlyDeclining = previous is null ? null : OfEstate("new", FigureForm.Count),
            Recovered = previous is null ? null : OfEstate("recovered", FigureForm.Count),
            NewlyAlone = previous is null ? null : OfEstate("alone", FigureForm.Count),
            FrontMetresPerMonth = Told("frontspeed"),
            Blocks = [.. last.Blocks.Select(BlockRowOf)],
            PatchList = [.. last.Patches.Select(PatchRowOf)],
            Maps = [.. new ReportMaps(context, settings, last, BlockOutlines()).All()],
            Walk = Walk(),
            Scouting = Scouting(),
            Quality = [.. Quality()],
            Light = LightRows.Summary(last.Survey, last.Figures),
            Warnings = warnings,
            Methods = methods,
            MadeBy = $"Hillrow {typeof(RunOrder).Assembly.GetName().Version?.ToString(3)}",
        };
    }

    private ReportFigure Of(string question, string subject, string quantity, FigureForm form)
    {
        string key = FindingRows.KeyOf(last.Survey, question, subject, quantity);
        return figures.TryGetValue(key, out StoredFigure? figure)
            ? new ReportFigure(key, figure.Value, form, figure.Low, figure.High)
            : new ReportFigure(key, double.NaN, form);
    }

    private ReportFigure OfEstate(string quantity, FigureForm form) => Of("estate", "all", quantity, form);

    /// <summary>Null when the survey has no such number.</summary>
    private ReportFigure? Told(string quantity)
    {
        ReportFigure figure = OfEstate(quantity, FigureForm.Metres);
        return double.IsFinite(figure.Value) ? figure : null;
    }

    private BlockRow BlockRowOf(string block)
    {
        ReportFigure Figure(string quantity, FigureForm form) => Of("blocks", block, quantity, form);
        return new BlockRow(
            block,
            Figure("area", FigureForm.Hectares),
            Figure("mapped", FigureForm.Share),
            Figure("plants", FigureForm.Count),
            Figure("gaps", FigureForm.Count),
            Figure("declining", FigureForm.Count),
            Figure("share", FigureForm.Share),
            Figure("severe", FigureForm.Count),
            Figure("height", FigureForm.Metres)
        );
    }

    private PatchRow PatchRowOf(StoredPatch patch) =>
        new(
            patch.Name,
            patch.Block,
            Of("patches", patch.Name, "plants", FigureForm.Count),
            Of("patches", patch.Name, "easting", FigureForm.GridMetres),
            Of("patches", patch.Name, "northing", FigureForm.GridMetres)
        );

    private WalkSummary Walk()
    {
        ReportFigure Figure(string quantity, FigureForm form) => Of("walk", "all", quantity, form);
        return new WalkSummary(
            Figure("stops", FigureForm.Count),
            Figure("metres", FigureForm.WholeMetres),
            Figure("minutes", FigureForm.Count),
            [
                .. last.Walk.Stops.Select(stop => new WalkLine(
                    stop.Number,
                    stop.Block,
                    stop.Plant,
                    WalkContents.PatchOf(last, stop),
                    WalkContents.TaskOf(stop)
                )),
            ]
        );
    }

    private ScoutingSummary? Scouting()
    {
        ReportFigure Figure(string quantity, FigureForm form) => Of("scouting", "all", quantity, form);
        ReportFigure answers = Figure("answers", FigureForm.Count);
        return answers.Value > 0
            ? new ScoutingSummary(
                answers,
                Figure("toldandseen", FigureForm.Count),
                Figure("toldnotseen", FigureForm.Count),
                Figure("seennottold", FigureForm.Count),
                Figure("neither", FigureForm.Count),
                Figure("rightshare", FigureForm.Share),
                Figure("overlookedshare", FigureForm.Share)
            )
            : null;
    }

    private IEnumerable<QualityRow> Quality() =>
        QualityRows
            .All.Select(figure =>
                (figure, Key: FindingRows.KeyOf(last.Survey, QualityRows.Question, QualityRows.Subject, figure.Word))
            )
            .Where(entry => figures.ContainsKey(entry.Key))
            .Select(entry => new QualityRow(
                $"quality.{entry.figure.Word}",
                Of(QualityRows.Question, QualityRows.Subject, entry.figure.Word, entry.figure.Form)
            ));

    private IReadOnlyList<MapOutline> BlockOutlines() =>
        [
            .. new BlockBook(context.Estate)
                .Blocks()
                .SelectMany(block =>
                    BlockPolygons.Of(block).Select(polygon => new MapOutline(OutlineKind.Block, block.Name, polygon))
                ),
        ];

    private static bool IsOfEstate(StepKey key) => key.Subject == StepKey.WholeEstate && key != ReportStep.Key;

    /// <summary>What the record says of the survey's steps: reasons and warnings as they were told, and each method.</summary>
    private (IReadOnlyList<string> Warnings, IReadOnlyList<MethodNote> Methods) FromRecord()
    {
        using SqliteConnection connection = context.Estate.OpenDatabase();
        // In the order of the run, whatever was done over last.
        List<string> order = [.. words.Keys];
        List<StepRecord> records =
        [
            .. RunRecord
                .All(connection)
                .Where(record => record.Key.Subject == last.Survey || IsOfEstate(record.Key))
                .OrderBy(record => order.IndexOf(record.Key.Step))
                .Select(record => RunRecord.WithDetails(connection, record)),
        ];
        List<string> warnings = [];
        foreach (StepRecord record in records)
        {
            warnings.AddRange(record.Reasons);
            // A note that is a reason already is not told twice.
            warnings.AddRange(
                record
                    .Warnings.Where(warning =>
                        !record.Reasons.Any(reason => reason.Contains(warning.Message, StringComparison.Ordinal))
                    )
                    .Select(warning => $"{warning.About}: {warning.Message}. {warning.Remedy}".TrimEnd())
            );
        }

        MethodNote[] methods =
        [
            .. records.Select(record => new MethodNote(
                words.GetValueOrDefault(record.Key.Step, record.Key.Step),
                record.Method,
                record.Source
            )),
        ];
        return ([.. warnings.Distinct(StringComparer.Ordinal)], methods);
    }
}
