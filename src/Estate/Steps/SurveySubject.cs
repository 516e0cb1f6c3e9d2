using Hillrow.Imaging;
using Hillrow.Mapping;
using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>A survey as its steps see it: who they are, and the inputs that several of them share.</summary>
/// <param name="Estate">The estate.</param>
/// <param name="Survey">The survey.</param>
/// <param name="Settings">What survey.toml says.</param>
internal sealed record SurveySubject(EstateFolder Estate, SurveyFolder Survey, SurveySettings Settings)
{
    private const string CardName = "card";
    private const string CameraName = "camera";

    /// <summary>Bands of the map that was brought instead of captures; null where there are captures.</summary>
    public BroughtBands? BroughtMap => Settings.Map;

    /// <summary>Profile of its camera, relative to the estate; null where a map was brought.</summary>
    public string? CameraFile => Settings.Camera;

    public StepInput Card => StepInput.Folder(CardName, Survey.Captures);

    public StepInput Camera =>
        StepInput.File(
            CameraName,
            CameraFile ?? throw new InvalidOperationException($"Survey {Survey.Id} has no camera.")
        );

    /// <summary>Its camera has a thermal band.</summary>
    public bool HasThermal { get; private init; }

    public static SurveySubject Of(EstateFolder estate, SurveyFolder survey)
    {
        SurveySettings settings = SurveyToml.Read(survey.SettingsFile);
        return new SurveySubject(estate, survey, settings) { HasThermal = IsThermal(estate, settings.Camera) };
    }

    /// <summary>A profile that cannot be read is told of by the step that needs it first.</summary>
    private static bool IsThermal(EstateFolder estate, string? camera)
    {
        try
        {
            return camera is not null
                && File.Exists(Path.Combine(estate.Root, camera))
                && CameraProfile.Load(Path.Combine(estate.Root, camera)).ThermalBand is not null;
        }
        catch (InputProblemException)
        {
            return false;
        }
    }

    /// <summary>Whether plants are looked for: not in what a colour camera sees, which ends with its map.</summary>
    public bool ShowsPlants => CameraFile is not { } file || FindsPlants(Path.Combine(Estate.Root, file));

    public StepKey Key(string step) => new(step, Survey.Id);

    /// <summary>Steps that only captures go through.</summary>
    public bool Has(string step) =>
        step is TemperatureStep.Name
            ? HasThermal
            : BroughtMap is null
                || step is not (IntakeStep.Name or RadiometryStep.Name or ReconstructionStep.Name or LightStep.Name);

    public StepInput OutputOf(string step, bool optional = false) => StepInput.Output(step, Key(step), optional);

    /// <summary>Outputs of those of some steps that this survey goes through.</summary>
    public IEnumerable<StepInput> OutputsOf(params IEnumerable<string> steps) =>
        steps.Where(Has).Select(step => OutputOf(step));

    public static string CardFolder(StepContext context) => context.PathOf(CardName);

    /// <summary>Whether a camera has the bands by which leaves are told from soil.</summary>
    public static bool FindsPlants(CameraProfile profile)
    {
        string[] names = [.. profile.Bands.Select(band => band.Name)];
        IReadOnlyList<string> words = SpectralWords.Of(profile, names);
        return words.Contains("red") && words.Contains("nir");
    }

    /// <summary>True, too, where no profile can be read: its first step says so.</summary>
    private static bool FindsPlants(string profileFile)
    {
        try
        {
            return FindsPlants(CameraProfile.Load(profileFile));
        }
        catch (InputProblemException)
        {
            return true;
        }
    }

    public static CameraProfile Profile(StepContext context) => CameraProfile.Load(context.PathOf(CameraName));

    /// <summary>Words for a map's bands: by the camera's wavelengths, or as a map that was brought names them.</summary>
    public static IReadOnlyList<string> BandWordsOf(StepContext context, RasterFile map)
    {
        string[] names = [.. map.Bands.Select(band => band.Name)];
        return context.Has(CameraName) ? SpectralWords.Of(Profile(context), names) : names;
    }

    /// <summary>Where files that a profile names (falloff maps) lie.</summary>
    public static string ProfileFolder(StepContext context) => Path.GetDirectoryName(context.PathOf(CameraName))!;
}
