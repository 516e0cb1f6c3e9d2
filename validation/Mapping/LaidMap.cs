using Hillrow.Estate;
using Hillrow.Imaging;
using Hillrow.Intake;
using Hillrow.Mapping;
using Hillrow.Mapping.Checks;
using Hillrow.Radiometry;
using Hillrow.Sight;
using Hillrow.Validation.Chain;

namespace Hillrow.Validation.Mapping;

/// <summary>A rehearsed flight after <c>hillrow run</c>: its map, and what the map was laid from, read back from the estate.</summary>
/// <param name="Estate">The estate's folder.</param>
/// <param name="Geometry">As the run solved it.</param>
/// <param name="Frames">Reflectance as Radiometry hands it to Mapping.</param>
/// <param name="Normalised">The same as under the reference sun, seen from straight above.</param>
/// <param name="Surface">The surface it was laid on.</param>
/// <param name="Map">The layers.</param>
/// <param name="MapFolder">Where they lie.</param>
internal sealed record LaidMap(
    string Estate,
    SurveyGeometry Geometry,
    ReflectanceFrames Frames,
    NormalisedFrames Normalised,
    Raster<float> Surface,
    MapReading Map,
    string MapFolder
)
{
    private const string Day = "2026-04-12";

    /// <summary>Models an estate, flies it once and runs everything, by the public commands.</summary>
    /// <param name="run">Whose scratch folder is used.</param>
    /// <param name="seed">Of the estate.</param>
    /// <param name="hectares">Of the estate.</param>
    /// <param name="captures">Of the flight.</param>
    /// <param name="clouds">Cover, 0 to 1.</param>
    public static LaidMap Of(ValidationRun run, ulong seed, string hectares, int captures, string clouds)
    {
        string estate = Path.Combine(run.ScratchFolder, $"laid-{seed}-{clouds}");
        Do(["rehearse", "estate", estate, "--seed", $"{seed}", "--hectares", hectares]);
        Do(["rehearse", "fly", estate, "--date", Day, "--captures", $"{captures}", "--clouds", clouds]);
        string card = Path.Combine(estate + "-cards", Day);
        Do(["survey", "add", estate, card, "--date", Day, "--link"]);
        Do(["run", estate]);
        run.Say($"flown and mapped: seed {seed}, {captures} captures, clouds {clouds}");
        return Read(estate);
    }

    private static LaidMap Read(string root)
    {
        EstateFolder estate = EstateFolder.Open(root);
        SurveySubject subject = SurveySubject.Of(estate, estate.Surveys().Single());
        string cameraFile = Path.Combine(estate.Root, subject.CameraFile!);
        CameraProfile profile = CameraProfile.Load(cameraFile);
        IntakeResult intake = StageJson.Read<IntakeResult>(Output("captures.json", IntakeStep.Name));
        Capture[] captures = [.. intake.Captures.Select(entry => entry.Capture)];
        Calibration calibration = StageJson.Read<Calibration>(Output(RadiometryStep.FileName, LightStep.Name));
        SurveyGeometry geometry = StageJson
            .Read<StoredGeometry>(Output("geometry.json", ReconstructionStep.Name))
            .Geometry;
        ReflectanceFrames frames = new(
            calibration,
            profile,
            subject.Survey.Captures,
            captures,
            Path.GetDirectoryName(cameraFile)
        );
        string map = Path.GetDirectoryName(Output(MappingStep.FiguresName, MappingStep.Name))!;
        return new LaidMap(
            estate.Root,
            geometry,
            frames,
            new NormalisedFrames(frames, calibration.Light!, geometry, captures),
            RasterFile.ReadWhole<float>(Output(HeightFiles.Surface, ReconstructionStep.Name)),
            new MapReading(MapFiles.In(map)),
            map
        );

        string Output(string file, string step) =>
            Directory
                .EnumerateFiles(subject.Survey.Root, file, SearchOption.AllDirectories)
                .Single(path => path.Split(Path.DirectorySeparatorChar).Contains(step));
    }

    /// <summary>The map's bands under the reference sun, seen from straight above: reflectance times the layer beside it.</summary>
    public float[][] NormalisedMap()
    {
        using RasterFile factors = RasterFile.Open(MapFiles.In(MapFolder).NadirFactor);
        float[][] bands = [.. Map.Reflectance.Select(band => (float[])band.Clone())];
        for (int band = 0; band < bands.Length; band++)
        {
            float[] factor = new float[bands[band].Length];
            factors.ReadTrueValues(0, band, new RasterWindow(0, 0, factors.Rows, factors.Columns), factor);
            for (int at = 0; at < factor.Length; at++)
            {
                bands[band][at] *= factor[at];
            }
        }

        return bands;
    }

    private static void Do(string[] arguments)
    {
        HillrowProcess.Ended ended = HillrowProcess.Run(arguments);
        if (ended.Code != 0)
        {
            throw new InvalidOperationException($"hillrow {string.Join(' ', arguments)}: {ended.Said.Trim()}");
        }
    }
}
