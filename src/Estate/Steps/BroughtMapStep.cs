using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Mapping;
using Hillrow.Numerics;
using Hillrow.Reconstruction;

namespace Hillrow.Estate;

/// <summary>
/// A map that was made elsewhere → the map that later steps read, in place of all the steps from captures to a map. Out:
/// reflectance.tif, map.json; with heights surface.tif, ground.tif, canopy.tif.
/// </summary>
internal static class BroughtMapStep
{
    private const string MapsInput = "maps";

    private static readonly Words Doing = new("taking over the map", "incorporando el mapa", "incorporando o mapa");

    public static RunStep Of(SurveySubject subject, BroughtBands bands) =>
        new(
            subject.Key(MappingStep.Name),
            Doing,
            "The file's own pixels, or bilinear between them where it lies in another reference system; ground, when none is given, from the surface's lowest points",
            "own; docs/stages/5-mapping.md",
            [StepInput.Folder(MapsInput, subject.Survey.Maps)],
            StepSettings.TextOf(
                new
                {
                    bands.Bands,
                    bands.ReflectanceOne,
                    zone = subject.Estate.ReferenceSystem.EpsgCode,
                }
            ),
            context => Work(context, bands)
        )
        {
            Weight = 10,
        };

    private static StepResult Work(StepContext context, BroughtBands bands)
    {
        string folder = context.PathOf(MapsInput);
        BroughtMapResult map;
        using (RasterFile source = RasterFile.Open(Path.Combine(folder, BroughtFiles.Map)))
        {
            map = BroughtMap.Write(
                source,
                bands,
                context.Estate.ReferenceSystem,
                MapFiles.In(context.OutputFolder).Reflectance,
                context.Threads,
                context.Cancellation
            );
        }

        if (map.CellsMapped == 0)
        {
            return new StepResult(
                StageOutcome.Refused(
                    "The map that was brought has no cell with data in all bands. Check its bands and mask."
                )
            );
        }

        context.Report(0.6);
        List<string> missing =
        [
            "The map was brought from a file: no standard error of its numbers is known, nor which pixels lie in shadow.",
        ];
        if (bands.ReflectanceOne is null)
        {
            missing.Add(
                "Its numbers are a picture's, not reflectance: plants can be compared within the map, not with other surveys."
            );
        }

        missing.AddRange(Heights(context, folder));
        StageJson.Write(
            context.NewFile(MappingStep.FiguresName),
            new StoredMap(0, map.CellsMapped, double.NaN, double.NaN)
        );
        return new StepResult(StageOutcome.Degraded([.. missing]))
        {
            Figures =
            [
                new StepFigure("cellsMapped", map.CellsMapped),
                new StepFigure("cellMetres", map.Grid.CellSizeMetres),
                new StepFigure("resampled", map.Resampled ? 1 : 0),
            ],
        };
    }

    private static IEnumerable<string> Heights(StepContext context, string folder)
    {
        string surfaceFile = Path.Combine(folder, BroughtFiles.Surface);
        if (!File.Exists(surfaceFile))
        {
            yield return "No surface came with the map: plants have no heights and are told by greenness alone.";
            yield break;
        }

        Raster<float> surface = BroughtHeights.Read(surfaceFile, context.Estate.ReferenceSystem, null);
        string groundFile = Path.Combine(folder, BroughtFiles.Ground);
        Raster<float> ground;
        if (File.Exists(groundFile))
        {
            ground = BroughtHeights.Read(groundFile, context.Estate.ReferenceSystem, surface.Grid);
        }
        else
        {
            (float[] below, _) = GroundSurface.Below(
                surface.BandMemory(0),
                ReadOnlyMemory<byte>.Empty,
                surface.Rows,
                surface.Columns,
                surface.Grid.CellSizeMetres,
                context.Threads
            );
            ground = new Raster<float>(BroughtHeights.LabelOf(surface.Grid, "ground"), [below]);
            yield return "No ground came with the surface: it was found from the surface's lowest points.";
        }

        Raster<float> canopy = new(BroughtHeights.LabelOf(surface.Grid, "canopy height"));
        Span<float> heights = canopy.Band(0);
        for (int at = 0; at < heights.Length; at++)
        {
            heights[at] = surface.Band(0)[at] - ground.Band(0)[at];
        }

        Cog.Write(context.NewFile(HeightFiles.Surface), surface, null, context.Threads);
        Cog.Write(context.NewFile(HeightFiles.Ground), ground, null, context.Threads);
        Cog.Write(context.NewFile(HeightFiles.Canopy), canopy, null, context.Threads);
    }
}
