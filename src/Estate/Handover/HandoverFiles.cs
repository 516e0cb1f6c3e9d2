using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>Writes documents for people below handover/: whole or not at all.</summary>
internal static class HandoverFiles
{
    /// <returns>Absolute path.</returns>
    /// <exception cref="InputProblemException">It cannot be written.</exception>
    public static string Write(EstateFolder estate, string relativePath, Action<Stream> write)
    {
        string path = Path.Combine(estate.HandoverFolder, relativePath);
        string partial = path + ".partial";
        try
        {
            Directory.CreateDirectory(Path.GetDirectoryName(path)!);
            using (FileStream file = new(partial, FileMode.Create))
            {
                write(file);
            }

            File.Move(partial, path, overwrite: true);
            return path;
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            throw new InputProblemException(
                path,
                $"cannot be written ({fault.Message.ReplaceLineEndings(" ").TrimEnd('.')}).",
                "Close the program that holds it open, or free some space, and try again.",
                fault
            );
        }
    }
}
