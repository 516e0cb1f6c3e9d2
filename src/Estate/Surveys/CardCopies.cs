using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>Brings cards' files into a survey's captures folder, one folder a card.</summary>
internal static class CardCopies
{
    public static void Bring(
        IReadOnlyList<CardListing> cards,
        SurveyFolder survey,
        bool link,
        IProgress<double>? progress,
        CancellationToken cancellation
    )
    {
        // Whatever an attempt that was cut short left is no survey yet: survey.toml is missing.
        Clear(survey.Captures);
        DurableFiles.CreateFolder(survey.Captures);
        long whole = Math.Max(1, cards.Sum(card => card.Files.Sum(file => file.Bytes)));
        long done = 0;
        for (int number = 0; number < cards.Count; number++)
        {
            string target = Path.Combine(survey.Captures, FormattableString.Invariant($"card-{number + 1}"));
            if (link)
            {
                Link(target, cards[number].Folder);
                continue;
            }

            foreach (CardFile file in cards[number].Files)
            {
                cancellation.ThrowIfCancellationRequested();
                Copy(file, Path.Combine(target, file.Relative));
                done += file.Bytes;
                progress?.Report((double)done / whole);
            }

            DurableFiles.FlushTree(target);
        }

        DurableFiles.FlushFolder(survey.Captures);
    }

    /// <summary>Copies single files into a folder under names of ours, or links to them.</summary>
    public static void BringFiles(IReadOnlyList<(string From, string Name)> files, string folder, bool link)
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
                Copy(new CardFile(from, name, 0), target);
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

    private static void Copy(CardFile file, string target)
    {
        try
        {
            Directory.CreateDirectory(Path.GetDirectoryName(target)!);
            File.Copy(file.Path, target);
        }
        catch (IOException fault) when (DurableFiles.IsDiskFull(fault))
        {
            throw DurableFiles.DiskFull(target, fault);
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            throw new InputProblemException(
                file.Path,
                $"cannot be copied ({fault.Message.ReplaceLineEndings(" ").TrimEnd('.')}).",
                "Check the card and its reader, then add the survey again.",
                fault
            );
        }
    }

    private static void Link(string target, string folder)
    {
        try
        {
            Directory.CreateSymbolicLink(target, folder);
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            throw new InputProblemException(
                folder,
                "cannot be linked to from here.",
                "Add the survey without --link: the files are copied.",
                fault
            );
        }
    }

    /// <summary>Removes links without following them, then what was copied.</summary>
    private static void Clear(string captures)
    {
        if (!Directory.Exists(captures))
        {
            return;
        }

        foreach (string child in Directory.GetDirectories(captures, "card-*"))
        {
            if (new DirectoryInfo(child).LinkTarget is null)
            {
                Directory.Delete(child, recursive: true);
            }
            else
            {
                Directory.Delete(child);
            }
        }
    }
}
