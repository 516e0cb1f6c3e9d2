using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Mapping;
using Hillrow.Numerics;
using Hillrow.Plants;
using NetTopologySuite.Geometries;

namespace Hillrow.Estate;

/// <summary>Maps and block outlines → rows, plants, gaps, measures. Out: plants.json, crowns/N.tif (N: block's number).</summary>
internal static class PlantsStep
{
    public const string Name = "plants";
    public const string FileName = "plants.json";
    private const string BlocksInput = "blocks";

    private static readonly Words Doing = new("finding plants", "buscando las plantas", "procurando as plantas");

    /// <param name="earlier">The surveys before, in the order of their days.</param>
    public static RunStep Of(SurveySubject subject, IReadOnlyList<SurveySubject> earlier)
    {
        PlantsSettings settings = new();
        IReadOnlyList<PlantLabel> labels = SurveyLabels.Of(new CorrectionBook(subject.Estate).All(), subject.Survey.Id);
        return new RunStep(
            subject.Key(Name),
            Doing,
            "Canopy by height and greenness; row direction and spacing from the block's own pattern; a plant or a gap at every position; crowns split between neighbours and measured; what the survey before knew kept where canopy covers it, hidden where this one does not tell",
            "own; docs/stages/6-plants.md",
            [
                .. subject.OutputsOf(ReconstructionStep.Name, MappingStep.Name),
                .. subject.CameraFile is null ? Array.Empty<StepInput>() : [subject.Camera],
                StepInput.Table(BlocksInput, "blocks"),
                .. earlier.Select(other => StepInput.Output(InputOf(other), other.Key(Name), optional: true)),
            ],
            labels.Count == 0
                ? StepSettings.TextOf(settings with { Threads = 1 })
                : StepSettings.TextOf(new { settings = settings with { Threads = 1 }, labels }),
            context => Work(context, settings, labels, earlier)
        )
        {
            Weight = 15,
        };
    }

    /// <summary>What was found, from an input of the name given.</summary>
    public static StoredPlants Read(StepContext context, string input = Name) =>
        StageJson.Read<StoredPlants>(Path.Combine(context.PathOf(input), FileName));

    private static string InputOf(SurveySubject earlier) => $"before {earlier.Survey.Id}";

    private static StepResult Work(
        StepContext context,
        PlantsSettings settings,
        IReadOnlyList<PlantLabel> labels,
        IReadOnlyList<SurveySubject> before
    )
    {
        IReadOnlyList<Block> blocks = new BlockBook(context.Estate).Blocks();
        MapFiles files = MappingStep.Files(context);
        using RasterFile reflectance = RasterFile.Open(files.Reflectance);
        // A map that was brought has none of these but perhaps heights.
        using RasterFile? sigma = OpenIfThere(files.Sigma);
        using RasterFile? nadirFactor = OpenIfThere(files.NadirFactor);
        using RasterFile? shadow = OpenIfThere(files.Shadow);
        using RasterFile? surface = OpenIfThere(HeightFiles.Find(context, HeightFiles.Surface));
        using RasterFile? ground = OpenIfThere(HeightFiles.Find(context, HeightFiles.Ground));
        using RasterFile? seen = OpenIfThere(HeightFiles.Find(context, HeightFiles.Confidence));
        using RasterFile? heightSigma = OpenIfThere(HeightFiles.Find(context, HeightFiles.CanopySigma));
        float[] sigmas = [.. Enumerable.Range(0, 256).Select(code => SigmaCode.Decode((byte)code))];
        IReadOnlyList<string> words = SurveySubject.BandWordsOf(context, reflectance);
        EarlierParts earlier = new([
            .. before
                .Reverse()
                .Select(InputOf)
                .Where(context.Has)
                .Select(input => new Lazy<StoredPlants>(() => Read(context, input))),
        ]);
        (Block Block, PlantBlock Part)[] parts =
        [
            .. blocks
                .SelectMany(PartsOf)
                .Select(entry =>
                    (entry.Block, entry.Part with { Earlier = earlier.Of(entry.Block.Id, entry.Part.Name) })
                ),
        ];
        PlantsResult result = PlantsStage.Run(
            new PlantsInput(
                Normalised(MapLayer.Of(reflectance, names: words), nadirFactor),
                [.. parts.Select(part => part.Part)]
            )
            {
                AsSeen = MapLayer.Of(reflectance, names: words),
                Surface = surface is null ? null : MapLayer.Of(surface),
                Ground = ground is null ? null : MapLayer.Of(ground),
                Shadow = shadow is null ? null : MapLayer.Of(shadow),
                Sigma = sigma is null ? null : MapLayer.Of(sigma, code => sigmas[(byte)code], words),
                HeightSigma = heightSigma is null ? null : MapLayer.Of(heightSigma),
                HeightSeen = seen is null ? null : MapLayer.Of(seen),
                Labels = labels,
            },
            settings with
            {
                Threads = context.Threads,
            },
            context.Progress(),
            context.Cancellation
        );
        if (result.Outcome.Usable)
        {
            Write(context, result, parts);
        }

        return new StepResult(result.Outcome)
        {
            Figures =
            [
                new StepFigure("plants", result.Blocks.Sum(block => block.Plants.Count)),
                new StepFigure("gaps", result.Blocks.Sum(block => block.Gaps.Count)),
                new StepFigure("hidden", result.Blocks.Sum(block => block.Hidden.Count)),
                new StepFigure("rows", result.Blocks.Sum(block => block.Rows.Count)),
                .. LearningFigures(result.Blocks),
            ],
        };
    }

    /// <summary>Plants of different dates are compared as under one sun, seen from straight above.</summary>
    private static MapLayer Normalised(MapLayer reflectance, RasterFile? factor) =>
        factor is null ? reflectance : reflectance.Times(MapLayer.Of(factor));

    private static IEnumerable<StepFigure> LearningFigures(IReadOnlyList<BlockPlants> blocks)
    {
        LabelTrial[] trials = [.. blocks.Select(block => block.Learning).OfType<LabelTrial>()];
        return trials.Length == 0
            ? []
            :
            [
                new StepFigure("labels", trials.Sum(trial => trial.Labels)),
                new StepFigure("labelsWrongWithoutLearning", trials.Sum(trial => trial.WrongWithout)),
                new StepFigure("labelsWrongWithLearning", trials.Sum(trial => trial.WrongWith)),
                new StepFigure("positionsJudgedAnew", trials.Sum(trial => trial.Changed)),
            ];
    }

    private static RasterFile? OpenIfThere(string? file) =>
        file is not null && File.Exists(file) ? RasterFile.Open(file) : null;

    private static void Write(StepContext context, PlantsResult result, (Block Block, PlantBlock Part)[] parts)
    {
        List<StoredBlockPlants> stored = [];
        for (int at = 0; at < result.Blocks.Count; at++)
        {
            BlockPlants found = result.Blocks[at];
            if (found.Crowns is { } crowns)
            {
                string file = FormattableString.Invariant($"crowns/{at + 1}.tif");
                Cog.Write(context.NewFile(file), crowns, null, context.Threads);
            }

            stored.Add(new StoredBlockPlants(parts[at].Block.Id, parts[at].Block.Name, found with { Crowns = null }));
        }

        StageJson.Write(context.NewFile(FileName), new StoredPlants(stored));
    }

    /// <summary>A block of several polygons is looked at polygon by polygon.</summary>
    private static IEnumerable<(Block Block, PlantBlock Part)> PartsOf(Block block)
    {
        IReadOnlyList<GridPolygon> polygons = BlockPolygons.Of(block);
        for (int at = 0; at < polygons.Count; at++)
        {
            string name = at == 0 ? block.Name : FormattableString.Invariant($"{block.Name} ({at + 1})");
            yield return (
                block,
                new PlantBlock(name, polygons[at])
                {
                    PlantSpacingMetres = block.Facts.PlantSpacingMetres,
                    RowSpacingMetres = block.Facts.RowSpacingMetres,
                    Crop = block.Facts.Crop ?? "",
                    LastStumping = block.Facts.Stumped,
                }
            );
        }
    }
}

/// <summary>The plants of a survey as they are kept, block part by block part.</summary>
internal sealed record StoredPlants(IReadOnlyList<StoredBlockPlants> Parts);

/// <param name="BlockId">Number of the block in estate.gpkg.</param>
/// <param name="BlockName">Its name.</param>
/// <param name="Found">Without crown raster and outlines.</param>
internal sealed record StoredBlockPlants(long BlockId, string BlockName, BlockPlants Found);

/// <summary>What the surveys before knew of a block's part: the last that found anything in it.</summary>
/// <param name="latestFirst">Their plants.</param>
internal sealed class EarlierParts(IReadOnlyList<Lazy<StoredPlants>> latestFirst)
{
    public EarlierPlants? Of(long blockId, string part) =>
        latestFirst
            .SelectMany(survey => survey.Value.Parts)
            .Where(stored => stored.BlockId == blockId && stored.Found.Block == part)
            .Select(stored => EarlierPlants.Of(stored.Found))
            .FirstOrDefault(plants => plants is not null);
}
