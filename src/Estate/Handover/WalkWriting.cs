using Hillrow.Handover;

namespace Hillrow.Estate;

/// <summary>A walk list as it was written.</summary>
/// <param name="Survey">Whose.</param>
/// <param name="Stops">In the order of walking.</param>
/// <param name="Metres">Of the round.</param>
/// <param name="Minutes">Walking alone.</param>
/// <param name="Files">Absolute paths.</param>
public sealed record WalkWritten(
    string Survey,
    IReadOnlyList<WalkLineWritten> Stops,
    double Metres,
    double Minutes,
    IReadOnlyList<string> Files
);

/// <summary>A stop, for people and for --json.</summary>
public sealed record WalkLineWritten(
    int Number,
    string Block,
    long Plant,
    string Task,
    string Patch,
    double Latitude,
    double Longitude,
    bool IsSteep
);

/// <summary>Writes the walk list of any survey in any language, from the same findings as the run's own.</summary>
public static class WalkWriting
{
    /// <exception cref="Numerics.InputProblemException">No such survey, or nothing has been found yet.</exception>
    public static WalkWritten Write(
        EstateFolder estate,
        string? survey,
        Language? language,
        CancellationToken cancellation = default
    )
    {
        ArgumentNullException.ThrowIfNull(estate);
        (_, StoredFindings findings, int at) = CurrentFindings.Of(estate, survey, cancellation);
        Language spoken = language ?? estate.Settings.Language;
        WalkContent content = WalkContents.Of(estate, findings.Surveys[at], spoken);
        return new WalkWritten(
            content.Survey,
            [
                .. content.Stops.Select(stop => new WalkLineWritten(
                    stop.Number,
                    stop.Block,
                    stop.Plant,
                    stop.Task,
                    stop.Patch,
                    Math.Round(stop.Place.Latitude.Degrees, 7),
                    Math.Round(stop.Place.Longitude.Degrees, 7),
                    stop.IsSteep
                )),
            ],
            content.Metres.Value,
            content.Minutes.Value,
            [
                .. WalkContents.Formats.Select(format =>
                    HandoverFiles.Write(
                        estate,
                        $"walk-{content.Survey}-{content.Language}{Path.GetExtension(format.File)}",
                        file => format.Write(content, file)
                    )
                ),
            ]
        );
    }
}
