namespace Hillrow.Handover;

/// <summary>Everything that a report says; the same content makes every format.</summary>
public sealed record ReportContent
{
    public required string EstateName { get; init; }

    /// <summary>ISO 639-1: en, es, pt.</summary>
    public required string Language { get; init; }

    public required DateOnly SurveyDate { get; init; }

    public DateOnly? PreviousDate { get; init; }

    /// <summary>Plants judged, declining, severe; the answer in numbers.</summary>
    public required ReportFigure Plants { get; init; }

    public required ReportFigure Declining { get; init; }

    public required ReportFigure DecliningShare { get; init; }

    public required ReportFigure Patches { get; init; }

    /// <summary>Newly declining and recovered since the previous date; null at a first survey.</summary>
    public ReportFigure? NewlyDeclining { get; init; }

    public ReportFigure? Recovered { get; init; }

    /// <summary>Single plants that look worse since then, outside every patch; null at a first survey.</summary>
    public ReportFigure? NewlyAlone { get; init; }

    /// <summary>How fast the edges of standing patches move outwards, with an interval; null when it cannot be told.</summary>
    public ReportFigure? FrontMetresPerMonth { get; init; }

    public required IReadOnlyList<BlockRow> Blocks { get; init; }

    public required IReadOnlyList<PatchRow> PatchList { get; init; }

    public required IReadOnlyList<ReportMap> Maps { get; init; }

    /// <summary>Where the scout goes; null when there is nothing to look at.</summary>
    public WalkSummary? Walk { get; init; }

    /// <summary>What scouts found at this survey's plants; null before any answer.</summary>
    public ScoutingSummary? Scouting { get; init; }

    /// <summary>How good the data are: sun height, captures, sigma, coverage.</summary>
    public required IReadOnlyList<QualityRow> Quality { get; init; }

    /// <summary>How far the colours can be trusted; null where no captures were turned into reflectance.</summary>
    public LightSummary? Light { get; init; }

    /// <summary>Every warning and reason kept with the survey, as it was said.</summary>
    public required IReadOnlyList<string> Warnings { get; init; }

    public required IReadOnlyList<MethodNote> Methods { get; init; }

    /// <summary>Name and version of the program.</summary>
    public required string MadeBy { get; init; }
}

/// <summary>One block's line of the table; <paramref name="Mapped"/> is the share of its area that the map shows.</summary>
public sealed record BlockRow(
    string Block,
    ReportFigure Area,
    ReportFigure Mapped,
    ReportFigure Plants,
    ReportFigure Gaps,
    ReportFigure Declining,
    ReportFigure Share,
    ReportFigure Severe,
    ReportFigure MeanHeight
);

/// <summary>One declining patch: where to dig.</summary>
public sealed record PatchRow(
    string Name,
    string Block,
    ReportFigure Plants,
    ReportFigure Easting,
    ReportFigure Northing
);

/// <summary>One line on the data's quality; the label is a text key ("quality.captures").</summary>
public sealed record QualityRow(string LabelKey, ReportFigure Figure);

/// <summary>How far the colours can be trusted.</summary>
/// <param name="Words">What is told of each band; the column's label is the text "light.col.WORD". The first is "width".</param>
/// <param name="Bands">One line a band.</param>
public sealed record LightSummary(IReadOnlyList<string> Words, IReadOnlyList<LightRow> Bands);

/// <param name="Band">As the camera profile calls it.</param>
/// <param name="Figures">In the order of the words; NaN what is not known of this band.</param>
public sealed record LightRow(string Band, IReadOnlyList<ReportFigure> Figures);

/// <summary>One step's method and source, for the agronomist.</summary>
public sealed record MethodNote(string What, string Method, string Source);

/// <summary>The walk list in short.</summary>
public sealed record WalkSummary(
    ReportFigure Stops,
    ReportFigure Metres,
    ReportFigure Minutes,
    IReadOnlyList<WalkLine> Lines
);

/// <param name="Task">"dig", "compare" or "look".</param>
public sealed record WalkLine(int Number, string Block, long Plant, string Patch, string Task);

/// <summary>Map against scouts: the confusion table and its two shares.</summary>
public sealed record ScoutingSummary(
    ReportFigure Answers,
    ReportFigure ToldAndSeen,
    ReportFigure ToldNotSeen,
    ReportFigure SeenNotTold,
    ReportFigure Neither,
    ReportFigure RightShare,
    ReportFigure OverlookedShare
);
