using Hillrow.Imaging;
using Hillrow.Intake;
using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>
/// How a survey's frames look, kept in <c>looks.json</c> beside its captures, so that a check after the intake need not
/// read every pixel again. May be lost or deleted at any time: then the pixels are read.
/// </summary>
internal static class SurveyLooks
{
    private const string FileName = "looks.json";

    /// <summary>2: with thumbnails.</summary>
    private const int Format = 2;

    /// <param name="Profile">Digest of the camera profile that they were looked at with.</param>
    /// <param name="Files">By name below the captures.</param>
    /// <param name="Format">Of what is kept; another one's is read anew.</param>
    private sealed record Kept(int Format, string Profile, SortedDictionary<string, FileLooks> Files);

    /// <param name="Bytes">Length of the file then.</param>
    /// <param name="ModifiedTicks">Its time stamp, UTC.</param>
    /// <param name="Pages">Its frames.</param>
    private sealed record FileLooks(long Bytes, long ModifiedTicks, IReadOnlyList<PageLook> Pages);

    /// <summary>Those of files that have not changed since, by name below the captures.</summary>
    /// <param name="survey">The survey.</param>
    /// <param name="profile">Of its camera.</param>
    /// <param name="readings">Come before what is kept.</param>
    public static IReadOnlyDictionary<string, IReadOnlyList<PageLook>> Known(
        SurveyFolder survey,
        CameraProfile profile,
        IReadOnlyDictionary<string, CardFileReading>? readings
    ) =>
        All(survey, DigestOf(profile), readings)
            .ToDictionary(entry => entry.Key, entry => entry.Value.Pages, StringComparer.Ordinal);

    /// <summary>Writes what is known with what was read now.</summary>
    /// <param name="survey">The survey.</param>
    /// <param name="profile">Of its camera.</param>
    /// <param name="readings">Come before what is kept; without any nothing is written.</param>
    public static void Keep(
        SurveyFolder survey,
        CameraProfile profile,
        IReadOnlyDictionary<string, CardFileReading> readings
    )
    {
        if (readings.Count == 0)
        {
            return;
        }

        string digest = DigestOf(profile);
        DurableFiles.WriteAllText(
            Path.Combine(survey.Root, FileName),
            StageJson.Text(new Kept(Format, digest, All(survey, digest, readings)))
        );
    }

    private static string DigestOf(CameraProfile profile) => ContentHashes.OfText(profile.ToToml());

    private static SortedDictionary<string, FileLooks> All(
        SurveyFolder survey,
        string digest,
        IReadOnlyDictionary<string, CardFileReading>? readings
    )
    {
        SortedDictionary<string, FileLooks> files = new(StringComparer.Ordinal);
        if (ReadKept(survey) is { Format: Format } kept && kept.Profile == digest)
        {
            foreach ((string name, FileLooks looks) in kept.Files)
            {
                FileInfo file = new(Path.Combine(survey.Captures, name));
                if (file.Exists && file.Length == looks.Bytes && file.LastWriteTimeUtc.Ticks == looks.ModifiedTicks)
                {
                    files[name] = looks;
                }
            }
        }

        foreach ((string name, CardFileReading reading) in readings ?? new Dictionary<string, CardFileReading>())
        {
            FileInfo file = new(Path.Combine(survey.Captures, name));
            if (file.Exists && file.Length == reading.Bytes)
            {
                files[name] = new FileLooks(reading.Bytes, file.LastWriteTimeUtc.Ticks, reading.Looks);
            }
        }

        return files;
    }

    private static Kept? ReadKept(SurveyFolder survey)
    {
        string file = Path.Combine(survey.Root, FileName);
        try
        {
            return File.Exists(file) ? StageJson.Read<Kept>(file) : null;
        }
        catch (InputProblemException)
        {
            // A damaged memory is none.
            return null;
        }
    }
}
