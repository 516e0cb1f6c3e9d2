using Hillrow.Numerics;
using Tomlyn;
using Tomlyn.Model;

namespace Hillrow.Estate;

/// <summary>What survey.toml says: the camera that was flown.</summary>
/// <param name="Camera">Camera profile, relative to the estate: "cameras/NAME.toml".</param>
public sealed record SurveySettings(string Camera);

/// <summary>Reads and writes a survey's settings.</summary>
public static class SurveyToml
{
    public const string FileName = "survey.toml";

    private const int LongestBytes = 1 << 16;

    public static string Write(SurveySettings settings) =>
        $"""
            # A survey of Hillrow.
            # The camera's profile, relative to the estate.
            camera = "{settings.Camera}"

            """;

    /// <exception cref="InputProblemException">The file is missing, too long, no TOML, or says something unknown.</exception>
    public static SurveySettings Read(string path)
    {
        FileInfo file = new(path);
        if (!file.Exists || file.Length > LongestBytes)
        {
            throw new InputProblemException(
                path,
                file.Exists ? $"{file.Length} bytes are no settings file." : "does not exist.",
                "Add the survey with `hillrow survey add`, or restore the file."
            );
        }

        TomlTable root;
        try
        {
            root = TomlSerializer.Deserialize<TomlTable>(File.ReadAllText(path)) ?? [];
        }
        catch (Exception fault)
            when (fault is TomlException or FormatException or OverflowException or ArgumentException)
        {
            throw new InputProblemException(path, "is not valid TOML.", "Correct it in a text editor.", fault);
        }

        string? unknown = root.Keys.FirstOrDefault(key => key != "camera");
        if (unknown is not null)
        {
            throw new InputProblemException(path, $"does not know \"{unknown}\".", "There is: camera.");
        }

        return
            root.TryGetValue("camera", out object? value)
            && value is string camera
            && camera.Length is > 0 and < 200
            && !camera.Any(char.IsControl)
            ? new SurveySettings(camera)
            : throw new InputProblemException(
                path,
                "does not name the camera.",
                "Write camera = \"cameras/NAME.toml\"."
            );
    }
}
