using Hillrow.Sheets;

namespace Hillrow.Handover;

/// <summary>A part of the report, the same for every format that it is written in.</summary>
internal abstract record ReportPart;

internal sealed record TitlePart(string Text) : ReportPart;

/// <summary>The answer in one line.</summary>
internal sealed record HeadlinePart(Sentence Said) : ReportPart;

/// <summary>The grower's questions, each with its answer.</summary>
internal sealed record AnswersPart(IReadOnlyList<GrowersAnswer> Answers) : ReportPart;

internal sealed record GrowersAnswer(string Asked, Sentence Said);

internal sealed record HeadingPart(string Text) : ReportPart;

/// <summary>A table; a column of text is set to the left and wrapped, one of numbers to the right.</summary>
internal sealed record TablePart(IReadOnlyList<TableColumn> Columns, IReadOnlyList<IReadOnlyList<Sentence>> Rows)
    : ReportPart
{
    /// <summary>Columns without a title have no head row.</summary>
    public bool HasHead => Columns.Any(column => column.Title.Length > 0);
}

/// <summary>Something not to be overlooked.</summary>
internal sealed record NotePart(Sentence Said) : ReportPart;

/// <summary>A map with its title, and below it what is to be known of the picture.</summary>
/// <param name="FillsPage">Takes what is left of the page; else it takes what it needs.</param>
internal sealed record MapPart(ReportMap Map, string Title, Sentence Facts, bool FillsPage = false) : ReportPart;

internal sealed record BulletsPart(IReadOnlyList<string> Lines) : ReportPart;

/// <summary>What follows begins on a new page where there are pages.</summary>
internal sealed record PageEndPart : ReportPart;

internal sealed record ClosingPart(string Text) : ReportPart;
