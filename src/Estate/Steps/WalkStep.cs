using Hillrow.Handover;
using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>Findings of the last survey → the scout's walk. Out: walk.html, walk.csv, walk.gpx, walk.kml.</summary>
internal static class WalkStep
{
    public const string Name = "walk";
    private const string BlocksInput = "blocks";

    private static readonly Words Doing = new("planning the walk", "planeando el recorrido", "planejando a caminhada");

    public static StepKey Key { get; } = new(Name, StepKey.WholeEstate);

    public static RunStep Of(EstateFolder estate)
    {
        WalkPageSettings settings = new(estate.Settings.Name, LanguageCodes.CodeOf(estate.Settings.Language));
        return new RunStep(
            Key,
            Doing,
            "Where to dig, compare and look, in the order of a short round whose legs are timed by slope and path",
            "Tobler 1993 (from memory); Dijkstra 1959, doi 10.1007/BF01386390; Croes 1958, doi 10.1287/opre.6.6.791",
            [FindingsStep.Input, StepInput.Table(BlocksInput, "blocks")],
            StepSettings.TextOf(settings),
            Work
        );
    }

    private static StepResult Work(StepContext context)
    {
        SurveyFindings last = FindingsStep.Read(context).Surveys[^1];
        WalkContent content = WalkContents.Of(context.Estate, last, context.Estate.Settings.Language);
        foreach ((string name, Action<WalkContent, Stream> write) in WalkContents.Formats)
        {
            using FileStream file = new(context.NewFile(name), FileMode.CreateNew);
            write(content, file);
        }

        return new StepResult(StageOutcome.Done) { Figures = [new StepFigure("stops", content.Stops.Count)] };
    }
}

/// <param name="EstateName">As the grower says it.</param>
/// <param name="Language">ISO 639-1.</param>
internal sealed record WalkPageSettings(string EstateName, string Language);
