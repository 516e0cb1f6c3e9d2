using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Intake;

/// <summary>Finds the capture that a person means.</summary>
public static class CaptureNames
{
    private const int MostTold = 5;

    /// <summary>
    /// By a file of it (relative to the survey's captures, or the file's own name, with or without ending), or by its id,
    /// with or without the zeros in front; null when none or more than one is meant.
    /// </summary>
    public static Capture? Find(IReadOnlyList<IntakeCapture> captures, string name) =>
        Matches(captures, name) is [var one] ? one : null;

    /// <exception cref="InputProblemException">None or several are meant.</exception>
    public static Capture FindOrTell(IReadOnlyList<IntakeCapture> captures, string option, string name)
    {
        ArgumentNullException.ThrowIfNull(captures);
        List<Capture> found = Matches(captures, name);
        return found.Count switch
        {
            1 => found[0],
            0 => throw new InputProblemException(
                option,
                $"\"{name}\" is no capture of the survey.",
                captures.Count == 0
                    ? "The survey has none."
                    : $"Name a file of it, such as {captures[0].Capture.Frames[0].File}, or its number, {captures[0].Capture.Id} to {captures[^1].Capture.Id}."
            ),
            _ => throw new InputProblemException(
                option,
                $"\"{name}\" is the name of several captures' files: {string.Join(", ", found.Take(MostTold).Select(capture => capture.Frames[0].File))}.",
                "Name the file with its folders."
            ),
        };
    }

    private static List<Capture> Matches(IReadOnlyList<IntakeCapture> captures, string name)
    {
        string wanted = name.Trim().Replace('\\', '/');
        foreach (
            Func<Capture, bool> means in new Func<Capture, bool>[]
            {
                capture => capture.Frames.Any(frame => frame.File == wanted),
                capture => capture.Frames.Any(frame => Path.GetFileName(frame.File) == wanted),
                capture => capture.Frames.Any(frame => Path.GetFileNameWithoutExtension(frame.File) == wanted),
                capture => capture.Id == wanted,
                capture => wanted.Length > 0 && capture.Id.TrimStart('0') == wanted.TrimStart('0'),
            }
        )
        {
            List<Capture> found = [.. captures.Select(entry => entry.Capture).Where(means)];
            if (found.Count > 0)
            {
                return found;
            }
        }

        return [];
    }
}
