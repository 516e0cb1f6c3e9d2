using Hillrow.Imaging;

namespace Hillrow.Estate;

/// <summary>A survey as its steps see it: who they are, and the inputs that several of them share.</summary>
/// <param name="Estate">The estate.</param>
/// <param name="Survey">The survey.</param>
/// <param name="CameraFile">Profile of its camera, relative to the estate.</param>
internal sealed record SurveySubject(EstateFolder Estate, SurveyFolder Survey, string CameraFile)
{
    private const string CardName = "card";
    private const string CameraName = "camera";

    public StepInput Card => StepInput.Folder(CardName, Survey.Captures);

    public StepInput Camera => StepInput.File(CameraName, CameraFile);

    public static SurveySubject Of(EstateFolder estate, SurveyFolder survey) =>
        new(estate, survey, SurveyToml.Read(survey.SettingsFile).Camera);

    public StepKey Key(string step) => new(step, Survey.Id);

    public StepInput OutputOf(string step, bool optional = false) => StepInput.Output(step, Key(step), optional);

    public static string CardFolder(StepContext context) => context.PathOf(CardName);

    public static CameraProfile Profile(StepContext context) => CameraProfile.Load(context.PathOf(CameraName));

    /// <summary>Where files that a profile names (falloff maps) lie.</summary>
    public static string ProfileFolder(StepContext context) => Path.GetDirectoryName(context.PathOf(CameraName))!;
}
