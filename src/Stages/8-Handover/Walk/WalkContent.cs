using Hillrow.Earth;

namespace Hillrow.Handover;

/// <summary>Everything that a walk list says; the same content makes every format.</summary>
public sealed record WalkContent
{
    public required string EstateName { get; init; }

    /// <summary>ISO 639-1: en, es, pt.</summary>
    public required string Language { get; init; }

    /// <summary>Id of the survey that sends the scout; answers carry it back.</summary>
    public required string Survey { get; init; }

    public required DateOnly SurveyDate { get; init; }

    /// <summary>In the order of walking.</summary>
    public required IReadOnlyList<WalkRow> Stops { get; init; }

    /// <summary>The whole round, WGS 84.</summary>
    public required IReadOnlyList<GeographicPoint> Way { get; init; }

    /// <summary>Outlines for the sketch, WGS 84, by block name.</summary>
    public required IReadOnlyList<WalkOutline> Blocks { get; init; }

    public required ReportFigure Metres { get; init; }

    public required ReportFigure Minutes { get; init; }
}

/// <param name="Name">Of the block.</param>
/// <param name="Ring">Outer ring, not closed.</param>
public sealed record WalkOutline(string Name, IReadOnlyList<GeographicPoint> Ring);

/// <summary>One stop as people read it.</summary>
/// <param name="Number">1, 2, …</param>
/// <param name="Plant">Ledger number: it stands in every answer.</param>
/// <param name="Block">Its block.</param>
/// <param name="Task">"dig", "compare" or "look": a text key follows ("walk.dig").</param>
/// <param name="Patch">Name of the declining patch, empty outside.</param>
/// <param name="Place">WGS 84.</param>
/// <param name="LegMetres">From the stop before.</param>
/// <param name="IsSteep">The way there is steep: take care.</param>
public sealed record WalkRow(
    int Number,
    long Plant,
    string Block,
    string Task,
    string Patch,
    GeographicPoint Place,
    double LegMetres,
    bool IsSteep
);
