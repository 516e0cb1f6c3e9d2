using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>Brings the files of a map that was made elsewhere into a survey's folder.</summary>
internal static class MapCopies
{
    /// <summary>Copies single files into a folder under names of ours, or links to them.</summary>
    public static void Bring(IReadOnlyList<(string From, string Name)> files, string folder, bool link)
    {
        // What an attempt that was cut short left: links are removed, never followed.
        if (Directory.Exists(folder))
        {
            Directory.Delete(folder, recursive: true);
        }

        DurableFiles.CreateFolder(folder);
        foreach ((string from, string name) in files)
        {
            string target = Path.Combine(folder, name);
            if (link)
            {
                LinkFile(target, from);
            }
            else
            {
                Copy(from, target);
            }
        }

        if (!link)
        {
            DurableFiles.FlushTree(folder);
        }

        DurableFiles.FlushFolder(folder);
    }

    private static void LinkFile(string target, string file)
    {
        try
        {
            File.CreateSymbolicLink(target, file);
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            throw new InputProblemException(
                file,
                "cannot be linked to from here.",
                "Add the survey without --link: the files are copied.",
                fault
            );
        }
    }

    private static void Copy(string file, string target)
    {
        try
        {
            Directory.CreateDirectory(Path.GetDirectoryName(target)!);
            File.Copy(file, target);
        }
        catch (IOException fault) when (DurableFiles.IsDiskFull(fault))
        {
            throw DurableFiles.DiskFull(target, fault);
        }
        catch (Exception fault) when (DurableFiles.IsFileTooLarge(fault))
        {
            throw DurableFiles.FileTooLarge(target, fault);
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            throw new InputProblemException(
                file,
                $"cannot be copied ({fault.Message.ReplaceLineEndings(" ").TrimEnd('.')}).",
                "Check the card and its reader, then add the survey again.",
                fault
            );
        }
    }
}
