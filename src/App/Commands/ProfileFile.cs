using Hillrow.Numerics;

namespace Hillrow.App.Commands;

/// <summary>Where the camera commands write what they learned.</summary>
internal static class ProfileFile
{
    /// <exception cref="InputProblemException">The file cannot be written.</exception>
    public static void Write(string file, string text)
    {
        try
        {
            File.WriteAllText(file, text);
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            throw new InputProblemException(
                file,
                "the profile cannot be written.",
                "Name another file with --output.",
                fault
            );
        }
    }
}
