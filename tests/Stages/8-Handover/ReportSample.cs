using Hillrow.Earth;

namespace Hillrow.Handover.Tests;

/// <summary>A small report with one of everything.</summary>
internal static class ReportSample
{
    public static ReportContent Content(string language) =>
        new()
        {
            EstateName = "Tres Hilos",
            Language = language,
            SurveyDate = new DateOnly(2026, 4, 9),
            PreviousDate = new DateOnly(2025, 10, 2),
            Plants = new ReportFigure("d|decline|estate|judged", 1234, FigureForm.Count),
            Declining = new ReportFigure("d|decline|estate|declining", 37, FigureForm.Count),
            DecliningShare = new ReportFigure("d|decline|estate|share", 37 / 1234.0, FigureForm.Share, 0.021, 0.042),
            Patches = new ReportFigure("d|decline|estate|patches", 1, FigureForm.Count),
            NewlyDeclining = new ReportFigure("d|change|estate|new", 12, FigureForm.Count),
            Recovered = new ReportFigure("d|change|estate|recovered", 3, FigureForm.Count),
            NewlyAlone = new ReportFigure("d|change|estate|alone", 6, FigureForm.Count),
            FrontMetresPerMonth = new ReportFigure("d|change|estate|front", 0.7, FigureForm.Metres, 0.5, 0.9),
            Blocks =
            [
                new BlockRow(
                    "Ridge",
                    new ReportFigure("a", 1.25, FigureForm.Hectares),
                    new ReportFigure("m", 0.93, FigureForm.Share),
                    new ReportFigure("b", 1234, FigureForm.Count),
                    new ReportFigure("c", 61, FigureForm.Count),
                    new ReportFigure("d", 37, FigureForm.Count),
                    new ReportFigure("e", 0.03, FigureForm.Share, 0.02, 0.04),
                    new ReportFigure("f", 5, FigureForm.Count),
                    new ReportFigure("g", double.NaN, FigureForm.Metres)
                ),
            ],
            PatchList =
            [
                new PatchRow(
                    "1",
                    "Ridge",
                    new ReportFigure("p1", 20, FigureForm.Count),
                    new ReportFigure("p2", 500_010, FigureForm.Count),
                    new ReportFigure("p3", 9_200_010, FigureForm.Count)
                ),
            ],
            Maps =
            [
                new ReportMap
                {
                    TitleKey = "map.decline",
                    Picture = Convert.FromBase64String(
                        "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg=="
                    ),
                    PictureType = "image/png",
                    Extent = new MapExtent(500_000, 9_200_000, 500_100, 9_200_080, "EPSG:32718"),
                    Date = new DateOnly(2026, 4, 9),
                    Outlines =
                    [
                        new MapOutline(
                            OutlineKind.Patch,
                            "1",
                            new GridPolygon([
                                new GridPoint(500_010, 9_200_010),
                                new GridPoint(500_030, 9_200_010),
                                new GridPoint(500_020, 9_200_030),
                            ])
                        ),
                    ],
                    Marks =
                    [
                        new MapMark(MarkKind.Severe, new GridPoint(500_020, 9_200_015)),
                        new MapMark(MarkKind.Gap, new GridPoint(500_060, 9_200_055)),
                    ],
                    Ramp = new MapRamp("ramp.ndvi", 0.2, 0.9, ["#440154", "#21918c", "#fde725"]),
                },
            ],
            Quality = [new QualityRow("quality.sun", new ReportFigure("q", 47, FigureForm.Degrees))],
            Light = new LightSummary(
                ["width", "change"],
                [
                    new LightRow(
                        "blue",
                        [
                            new ReportFigure("d|light|blue|width", 0.031, FigureForm.Share),
                            new ReportFigure("d|light|blue|change", 0.02, FigureForm.Share),
                        ]
                    ),
                    new LightRow(
                        "near infrared",
                        [
                            new ReportFigure("d|light|near infrared|width", 0.083, FigureForm.Share),
                            new ReportFigure("d|light|near infrared|change", double.NaN, FigureForm.Share),
                        ]
                    ),
                ]
            ),
            Warnings = ["Block Ridge: 2 captures were left out: blurred."],
            Methods = [new MethodNote("judging plants", "robust regression on a slow surface", "Tukey's bisquare")],
            MadeBy = "Hillrow 0.1.0",
        };
}
