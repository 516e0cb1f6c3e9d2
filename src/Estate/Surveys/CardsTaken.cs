using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>A card that stands in a survey already, wholly or in part.</summary>
/// <param name="Survey">The survey.</param>
/// <param name="Card">As given now.</param>
/// <param name="New">Files of all cards given that the survey has not.</param>
/// <param name="Known">Files that it has.</param>
internal sealed record CardTaken(SurveyFolder Survey, CardListing Card, IReadOnlyList<CardFile> New, int Known);

/// <summary>Finds cards that are in the estate already, and adds what has come onto them since.</summary>
internal static class CardsTaken
{
    private const string Incoming = "incoming";

    /// <summary>The survey that holds files of these cards under the same names, with the same lengths and contents.</summary>
    public static CardTaken? Find(EstateFolder estate, IReadOnlyList<CardListing> listings, int filesCompared)
    {
        foreach (SurveyFolder survey in estate.Surveys().Where(survey => File.Exists(survey.SettingsFile)))
        {
            if (!Directory.Exists(survey.Captures))
            {
                continue;
            }

            Dictionary<string, List<CardFile>> there = new(StringComparer.Ordinal);
            foreach (string folder in Directory.GetDirectories(survey.Captures).Order(StringComparer.Ordinal))
            {
                foreach (CardFile file in Listed(folder))
                {
                    if (!there.TryGetValue(file.Relative, out List<CardFile>? same))
                    {
                        there[file.Relative] = same = [];
                    }

                    same.Add(file);
                }
            }

            foreach (CardListing listing in listings)
            {
                (CardFile Given, CardFile There)[] known =
                [
                    .. listing
                        .Files.Select(file =>
                            (file, there.GetValueOrDefault(file.Relative)?.Find(other => other.Bytes == file.Bytes)!)
                        )
                        .Where(pair => pair.Item2 is not null),
                ];
                if (known.Length > 0 && Alike(known, filesCompared))
                {
                    return new CardTaken(
                        survey,
                        listing,
                        [
                            .. listings
                                .SelectMany(one => one.Files)
                                .Where(file =>
                                    there.GetValueOrDefault(file.Relative)?.Exists(other => other.Bytes == file.Bytes)
                                        is not true
                                ),
                        ],
                        known.Length
                    );
                }
            }
        }

        return null;
    }

    /// <summary>Brings the new files into a card folder of their own, which appears when it is whole.</summary>
    public static SurveyAdded AddWhatIsNew(
        EstateFolder estate,
        CardTaken taken,
        List<string> told,
        CardDoor door,
        IProgress<double>? progress,
        CancellationToken cancellation
    )
    {
        // A survey that came as a map has no captures, and so was not found.
        string camera = SurveyToml.Read(taken.Survey.SettingsFile).Camera!;
        told.Add(
            taken.New.Count == 0
                ? $"{taken.Card.Folder} is in the estate already, as survey {taken.Survey.Id}: nothing was added."
                : $"{taken.Card.Folder} is in the estate already in part, as survey {taken.Survey.Id}: {taken.New.Count} new files were added."
        );
        if (taken.New.Count == 0)
        {
            return new SurveyAdded(taken.Survey, camera, 0, told) { FilesKept = taken.Known };
        }

        int number = 1;
        while (Path.Exists(Path.Combine(taken.Survey.Captures, $"card-{number}")))
        {
            number++;
        }

        string name = FormattableString.Invariant($"card-{number}");
        string incoming = Path.Combine(taken.Survey.Root, Incoming);
        DurableFiles.CreateFolder(incoming);
        CardCopies copies = new(incoming, door, CameraProfile.Load(Path.Combine(estate.Root, camera)));
        copies.Copy(
            [.. taken.New.Select(file => new CardErrand(file, $"{name}/{file.Relative}"))],
            progress,
            cancellation
        );
        Directory.Move(Path.Combine(incoming, name), Path.Combine(taken.Survey.Captures, name));
        DurableFiles.FlushFolder(taken.Survey.Captures);
        Directory.Delete(incoming, recursive: true);
        SurveyChecksums.Write(
            taken.Survey,
            SurveyChecksums
                .Read(taken.Survey)
                .Concat(copies.Checksums)
                .ToDictionary(entry => entry.Key, entry => entry.Value, StringComparer.Ordinal)
        );
        return new SurveyAdded(taken.Survey, camera, taken.New.Count, told)
        {
            Readings = copies.Readings,
            FilesKept = taken.Known + copies.Kept,
        };
    }

    /// <summary>Of a card folder; nothing when it is a link whose card is not in the reader.</summary>
    private static IReadOnlyList<CardFile> Listed(string folder)
    {
        try
        {
            return CardListing.Of(folder).Files;
        }
        catch (InputProblemException)
        {
            return [];
        }
    }

    /// <summary>Contents of some files spread over those of one name and length.</summary>
    private static bool Alike((CardFile Given, CardFile There)[] pairs, int filesCompared)
    {
        ContentHashes hashes = new(null);
        int step = Math.Max(1, pairs.Length / filesCompared);
        for (int at = 0; at < pairs.Length; at += step)
        {
            if (hashes.OfFile(pairs[at].Given.Path) != hashes.OfFile(pairs[at].There.Path))
            {
                return false;
            }
        }

        return true;
    }
}
