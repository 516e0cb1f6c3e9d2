using System.Globalization;
using Hillrow.Sheets;

namespace Hillrow.Handover;

/// <summary>
/// Says the content in its order: the grower's page (answers and the map of declining plants), then blocks, patches,
/// walk, maps, quality, warnings, methods, cautions.
/// </summary>
internal sealed class ReportOutline(ReportContent content, ReportTexts texts)
{
    /// <summary>Below this share the page says that part of the block was not looked at.</summary>
    private const double WhollyMapped = 0.98;

    /// <summary>What every map says of the survey that it was made from.</summary>
    private static readonly string[] MapFacts = ["quality.sun", "quality.pixel", "quality.captures"];

    public string Title => texts.Fill("title", content.EstateName, texts.Date(content.SurveyDate));

    public IReadOnlyList<ReportPart> Parts() =>
        [
            new TitlePart(Title),
            new HeadlinePart(Headline()),
            new AnswersPart([.. Answers()]),
            .. content.Maps.Take(1).Select(map => MapOf(map) with { FillsPage = true }),
            new PageEndPart(),
            .. Blocks(),
            .. Patches(),
            .. Scouting(),
            .. Walk(),
            .. content.Maps.Count > 1 ? [new HeadingPart(texts["maps"])] : Array.Empty<ReportPart>(),
            .. content.Maps.Skip(1).Select(MapOf),
            .. Quality(),
            .. Light(),
            new HeadingPart(texts["warnings"]),
            new BulletsPart(content.Warnings.Count == 0 ? [texts["warnings.none"]] : content.Warnings),
            .. Methods(),
            new HeadingPart(texts["cautions"]),
            new BulletsPart([
                texts["caution.symptom"],
                texts["caution.label"],
                texts["caution.slope"],
                texts["caution.estimate"],
            ]),
            new ClosingPart(
                texts.Fill(
                    "madeby",
                    content.MadeBy,
                    texts.Date(content.SurveyDate),
                    content.Maps.Count > 0 ? content.Maps[0].Extent.ReferenceSystem : "–"
                )
            ),
        ];

    private Sentence Filled(string key, params Sentence[] parts) => Sentence.Fill(texts[key], parts);

    private Sentence Said(string key) => Sentence.Of(texts[key]);

    private static Sentence Low(ReportFigure figure) =>
        Sentence.Of(new ReportFigure(figure.Key + "|low", figure.Low ?? double.NaN, figure.Form));

    private static Sentence High(ReportFigure figure) =>
        Sentence.Of(new ReportFigure(figure.Key + "|high", figure.High ?? double.NaN, figure.Form));

    private Sentence Headline() =>
        content.Declining.Value > 0
            ? Filled(
                "headline.some",
                Sentence.Of(content.Declining),
                Sentence.Of(content.Plants),
                Sentence.Of(content.DecliningShare)
            )
            : Said("headline.none");

    private IEnumerable<GrowersAnswer> Answers()
    {
        bool patches = content.Patches.Value > 0;
        yield return new GrowersAnswer(
            texts["ask.where"],
            patches
                ? Filled(content.Patches.Value < 2 ? "where.patch" : "where.patches", Sentence.Of(content.Patches))
                : Said("where.none")
        );
        Sentence many = Sentence.Of(content.Declining).Then(": ").Then(Sentence.Of(content.DecliningShare));
        yield return new GrowersAnswer(
            texts["ask.howmany"],
            content.DecliningShare is { Low: not null, High: not null }
                ? many.Then(", ").Then(Filled("between", Low(content.DecliningShare), High(content.DecliningShare)))
                : many
        );
        yield return new GrowersAnswer(texts["ask.changed"], Changed());
        yield return new GrowersAnswer(
            texts["ask.next"],
            Said(patches ? "next.dig" : "next.none").Then(" ").Then(Said("next.advice"))
        );
    }

    private Sentence Changed()
    {
        if (content is not { PreviousDate: { } before, NewlyDeclining: { } fresh, Recovered: { } recovered })
        {
            return Said("changed.first");
        }

        Sentence text = Filled(
            "changed.text",
            Sentence.Of(texts.Date(before)),
            Sentence.Of(fresh),
            Sentence.Of(recovered)
        );
        if (content.FrontMetresPerMonth is { Low: not null, High: not null } front)
        {
            text = text.Then(" ").Then(Filled("changed.front", Sentence.Of(front), Low(front), High(front)));
        }

        return content.NewlyAlone is { Value: > 0 } alone
            ? text.Then(" ").Then(Filled("changed.alone", Sentence.Of(alone)))
            : text;
    }

    private IEnumerable<ReportPart> Blocks()
    {
        yield return new HeadingPart(texts["blocks"]);
        yield return new TablePart(
            Columns(
                1,
                "col.block",
                "col.area",
                "col.mapped",
                "col.plants",
                "col.gaps",
                "col.declining",
                "col.share",
                "col.severe",
                "col.height"
            ),
            [
                .. content.Blocks.Select(block =>
                    Cells(
                        block.Block,
                        Sentence.Of(block.Area),
                        Sentence.Of(block.Mapped),
                        Sentence.Of(block.Plants),
                        Sentence.Of(block.Gaps),
                        Sentence.Of(block.Declining),
                        WithInterval(block.Share),
                        Sentence.Of(block.Severe),
                        Sentence.Of(block.MeanHeight)
                    )
                ),
            ]
        );
        string[] partly =
        [
            .. content.Blocks.Where(block => block.Mapped.Value < WhollyMapped).Select(block => block.Block),
        ];
        if (partly.Length > 0)
        {
            yield return new NotePart(Filled("blocks.partly", Sentence.Of(string.Join(", ", partly))));
        }
    }

    private IEnumerable<ReportPart> Patches()
    {
        if (content.PatchList.Count == 0)
        {
            yield break;
        }

        yield return new HeadingPart(texts["patches"]);
        yield return new TablePart(
            Columns(2, "col.patch", "col.block", "col.plants", "col.easting", "col.northing"),
            [
                .. content.PatchList.Select(patch =>
                    Cells(
                        patch.Name,
                        Sentence.Of(patch.Block),
                        Sentence.Of(patch.Plants),
                        Sentence.Of(patch.Easting),
                        Sentence.Of(patch.Northing)
                    )
                ),
            ]
        );
    }

    private IEnumerable<ReportPart> Scouting()
    {
        if (content.Scouting is not { } scouting)
        {
            yield break;
        }

        yield return new HeadingPart(texts["scouting"]);
        yield return new NotePart(
            Filled(
                "scouting.text",
                Sentence.Of(scouting.Answers),
                WithInterval(scouting.RightShare),
                WithInterval(scouting.OverlookedShare)
            )
        );
        yield return new TablePart(
            [
                new TableColumn("", IsText: true),
                new TableColumn(texts["scouting.seen"], IsText: false),
                new TableColumn(texts["scouting.notseen"], IsText: false),
            ],
            [
                Cells(texts["scouting.told"], Sentence.Of(scouting.ToldAndSeen), Sentence.Of(scouting.ToldNotSeen)),
                Cells(texts["scouting.nottold"], Sentence.Of(scouting.SeenNotTold), Sentence.Of(scouting.Neither)),
            ]
        );
    }

    private IEnumerable<ReportPart> Walk()
    {
        if (content.Walk is not { Lines.Count: > 0 } walk)
        {
            yield break;
        }

        yield return new HeadingPart(texts["walk"]);
        yield return new NotePart(
            Filled("walk.length", Sentence.Of(walk.Stops), Sentence.Of(walk.Metres), Sentence.Of(walk.Minutes))
        );
        yield return new TablePart(
            Columns(5, "col.stop", "col.block", "col.plant", "col.patch", "col.task"),
            [
                .. walk.Lines.Select(line =>
                    Cells(
                        line.Number.ToString(CultureInfo.InvariantCulture),
                        Sentence.Of(line.Block),
                        Sentence.Of(line.Plant.ToString(CultureInfo.InvariantCulture)),
                        Sentence.Of(line.Patch),
                        Sentence.Of(texts[$"walk.task.{line.Task}"])
                    )
                ),
            ]
        );
    }

    private MapPart MapOf(ReportMap map)
    {
        Sentence facts = Sentence.Of(texts.Date(map.Date));
        foreach (QualityRow row in content.Quality.Where(row => MapFacts.Contains(row.LabelKey)))
        {
            facts = facts.Then($" · {texts[row.LabelKey]}: ").Then(Sentence.Of(row.Figure));
        }

        return new MapPart(map, texts[map.TitleKey], facts.Then($" · {map.Extent.ReferenceSystem}"));
    }

    private IEnumerable<ReportPart> Quality() =>
        [
            new HeadingPart(texts["quality"]),
            new TablePart(
                [new TableColumn("", IsText: true), new TableColumn("", IsText: false)],
                [.. content.Quality.Select(row => Cells(texts[row.LabelKey], Sentence.Of(row.Figure)))]
            ),
        ];

    /// <summary>What the widest band allows: plants within a flight differ by tens of per cent when they decline, dates by less.</summary>
    private IEnumerable<ReportPart> Light()
    {
        if (content.Light is not { Bands.Count: > 0 } light)
        {
            yield break;
        }

        const double GoodWidth = 0.06;
        const double FairWidth = 0.15;
        LightRow widest = light.Bands.MaxBy(band => band.Figures[0].Value)!;
        string verdict =
            widest.Figures[0].Value <= GoodWidth ? "light.good"
            : widest.Figures[0].Value <= FairWidth ? "light.fair"
            : "light.poor";
        yield return new HeadingPart(texts["light"]);
        yield return new NotePart(
            Filled("light.width", Sentence.Of(widest.Band), Sentence.Of(widest.Figures[0]))
                .Then(" ")
                .Then(Said(verdict))
        );
        yield return new TablePart(
            Columns(1, ["col.band", .. light.Words.Select(word => $"light.col.{word}")]),
            [.. light.Bands.Select(band => Cells(band.Band, [.. band.Figures.Select(Sentence.Of)]))]
        );
        yield return new BulletsPart([.. light.Words.Select(word => texts[$"light.about.{word}"])]);
    }

    private IEnumerable<ReportPart> Methods() =>
        [
            new HeadingPart(texts["methods"]),
            new TablePart(
                Columns(3, "col.step", "col.method", "col.source"),
                [
                    .. content.Methods.Select(note =>
                        Cells(note.What, Sentence.Of(note.Method), Sentence.Of(note.Source))
                    ),
                ]
            ),
        ];

    private static Sentence WithInterval(ReportFigure figure) =>
        figure is { Low: not null, High: not null }
            ? Sentence.Of(figure).Then(" (").Then(Low(figure)).Then(" – ").Then(High(figure)).Then(")")
            : Sentence.Of(figure);

    private IReadOnlyList<TableColumn> Columns(int texted, params string[] keys) =>
        [.. keys.Select((key, at) => new TableColumn(texts[key], at < texted))];

    private static IReadOnlyList<Sentence> Cells(string first, params Sentence[] rest) => [Sentence.Of(first), .. rest];
}
