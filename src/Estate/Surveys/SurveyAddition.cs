using System.Globalization;
using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Intake;
using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>Brings a card, or the parts of one that was split, into the estate as a survey.</summary>
public static class SurveyAddition
{
    /// <summary>Files tried for a date before giving up; a damaged or foreign file or two may stand first.</summary>
    private const int FilesTriedForDate = 50;

    /// <summary>Two cards with this many files alike and in place are one card.</summary>
    private const int FilesComparedByContent = 8;

    /// <summary>Copies cards (or links to them) into a survey's folder; the survey is there only when all is.</summary>
    /// <param name="estate">The estate.</param>
    /// <param name="cards">Folders of one visit.</param>
    /// <param name="wishes">What the person said of the survey.</param>
    /// <param name="progress">Share copied.</param>
    /// <param name="cancellation">Leaves no survey; the next attempt goes on with the files that came over whole.</param>
    /// <param name="door">How the cards' files are reached; null: as usual.</param>
    /// <exception cref="InputProblemException">A card cannot be used, is in the estate already, was flown far from it, or the day is unknown.</exception>
    public static SurveyAdded Add(
        EstateFolder estate,
        IReadOnlyList<string> cards,
        SurveyWishes wishes,
        IProgress<double>? progress = null,
        CancellationToken cancellation = default,
        CardDoor? door = null
    )
    {
        string[] folders = [.. cards.Select(card => Path.TrimEndingDirectorySeparator(Path.GetFullPath(card)))];
        List<string> told = [];
        List<CardListing> listings = [];
        foreach (string folder in folders.Distinct(StringComparer.Ordinal))
        {
            CardListing listing = CardListing.Of(folder);
            if (listings.Exists(other => other.SameAs(listing, FilesComparedByContent)))
            {
                told.Add($"{folder} is the same card as another one given; it is taken once.");
            }
            else
            {
                listings.Add(listing);
            }
        }

        door ??= CardDoor.Usual;
        if (CardsTaken.Find(estate, listings, FilesComparedByContent) is { } taken)
        {
            return wishes.Look
                ? CardsTaken.AddWhatIsNew(estate, taken, told, door, progress, cancellation)
                : throw new InputProblemException(
                    taken.Card.Folder,
                    $"is in the estate already{(taken.New.Count == 0 ? "" : " in part")}, as survey {taken.Survey.Id}.",
                    taken.New.Count == 0
                        ? "Nothing is to be done; to have it twice, remove that survey's folder first."
                        : $"Add its {taken.New.Count} new files with `hillrow intake`."
                );
        }

        string camera = CameraChoice.Settle(estate, wishes.Camera);
        CardPlace.Check(estate, listings, Path.Combine(estate.Root, camera));
        DateOnly day = wishes.Day ?? DayOf(listings, Path.Combine(estate.Root, camera), estate.ReferenceSystem);
        string id = IdOf(estate, day, wishes.Name);
        CameraProfile? profile = wishes.Look ? CameraProfile.Load(Path.Combine(estate.Root, camera)) : null;
        SurveyFolder added = estate.AddSurvey(id);
        CardCopies copies = Bring(listings, added, wishes.Link, profile, door, progress, cancellation);
        if (copies.Checksums.Count > 0)
        {
            SurveyChecksums.Write(added, copies.Checksums);
        }

        // Written last: it makes the folder a survey that runs take up.
        DurableFiles.WriteAllText(added.SettingsFile, SurveyToml.Write(new SurveySettings(camera, null, wishes.Air)));
        return new SurveyAdded(added, camera, listings.Sum(listing => listing.Files.Count), told)
        {
            Readings = copies.Readings,
            FilesKept = copies.Kept,
        };
    }

    /// <summary>Date and short name.</summary>
    /// <exception cref="InputProblemException">No id, or taken.</exception>
    internal static string IdOf(EstateFolder estate, DateOnly day, string? name)
    {
        string id = string.Create(CultureInfo.InvariantCulture, $"{day:yyyy-MM-dd}");
        id = name is null ? id : SurveyFolder.Checked($"{id}-{name}");
        return estate.Surveys().Any(survey => survey.Id == id && File.Exists(survey.SettingsFile))
            ? throw new InputProblemException(
                $"survey {id}",
                "is in the estate already.",
                "Give this one a short name of its own with --name."
            )
            : id;
    }

    private static CardCopies Bring(
        List<CardListing> listings,
        SurveyFolder survey,
        bool link,
        CameraProfile? profile,
        CardDoor door,
        IProgress<double>? progress,
        CancellationToken cancellation
    )
    {
        List<CardErrand> errands = [];
        for (int number = 0; number < listings.Count; number++)
        {
            string folder = FormattableString.Invariant($"card-{number + 1}");
            errands.AddRange(listings[number].Files.Select(file => new CardErrand(file, $"{folder}/{file.Relative}")));
        }

        CardCopies copies = new(survey.Captures, door, profile);
        if (!link)
        {
            DurableFiles.CreateFolder(survey.Captures);
            copies.Copy(errands, progress, cancellation);
            return copies;
        }

        cancellation.ThrowIfCancellationRequested();
        // Whatever an attempt that was cut short left is no survey yet: survey.toml is missing.
        if (Directory.Exists(survey.Captures))
        {
            copies.Copy([], null, cancellation);
        }

        DurableFiles.CreateFolder(survey.Captures);
        for (int number = 0; number < listings.Count; number++)
        {
            CardCopies.Link(
                Path.Combine(survey.Captures, FormattableString.Invariant($"card-{number + 1}")),
                listings[number].Folder
            );
        }

        DurableFiles.FlushFolder(survey.Captures);
        if (profile is not null)
        {
            copies.Look(errands, progress, cancellation);
        }

        return copies;
    }

    /// <summary>
    /// The day at the estate: the recorded time is UTC or the camera's own clock; a flight by daylight has the same
    /// date in solar time, which is UTC + longitude / 15°.
    /// </summary>
    private static DateOnly DayOf(List<CardListing> listings, string cameraFile, ReferenceSystem zone)
    {
        CameraProfile profile = CameraProfile.Load(cameraFile);
        TimeSpan solar = TimeSpan.FromHours(SolarHours(zone));
        foreach (CardFile file in listings.SelectMany(listing => listing.Files).Take(FilesTriedForDate))
        {
            try
            {
                FrameMetadata metadata = profile.Metadata.Evaluate(PropertyBag.Read(file.Path), file.Path);
                if (metadata.Time?.TimeUtc is { } moment)
                {
                    return DateOnly.FromDateTime(moment.UtcDateTime + solar);
                }

                if (metadata.Time is { } clock)
                {
                    return DateOnly.FromDateTime(clock.Clock);
                }
            }
            catch (InputProblemException)
            {
                // Intake tells of damaged files; here any whole one will do.
            }
        }

        throw new InputProblemException(
            listings[0].Folder,
            $"none of the first {FilesTriedForDate} files tells its time by the camera profile {Path.GetFileName(cameraFile)}.",
            "Give the day with --date YYYY-MM-DD, and check that the profile is this camera's."
        );
    }

    private static double SolarHours(ReferenceSystem zone) =>
        // The zone's middle is at most 3° (12 minutes) from the estate's own meridian.
        // A northing that is on this side of the pole in the north and in the south.
        zone.ToWgs84(500_000, 5_000_000).Longitude.Degrees / 15;
}

/// <summary>What a person says of a survey that is added.</summary>
/// <param name="Day">Null: as the captures tell.</param>
/// <param name="Name">Short name when a day has several; lower-case letters, digits, hyphens.</param>
/// <param name="Camera">Profile file, or name in the estate's cameras folder; null when the estate has just one.</param>
/// <param name="Link">Leave the files on the card and link to them.</param>
public sealed record SurveyWishes(DateOnly? Day = null, string? Name = null, string? Camera = null, bool Link = false)
{
    /// <summary>
    /// Look at every picture on its way, for the field check. A card that is in the estate already then adds what is new
    /// on it, or nothing, instead of being refused.
    /// </summary>
    public bool Look { get; init; }

    /// <summary>The air during the flight; temperatures of crowns need it.</summary>
    public AirReadings? Air { get; init; }
}

/// <param name="Survey">Its folder.</param>
/// <param name="Camera">Profile, relative to the estate; null for a map that was brought.</param>
/// <param name="Files">Picture or map files taken.</param>
/// <param name="Told">What a person should know.</param>
public sealed record SurveyAdded(SurveyFolder Survey, string? Camera, int Files, IReadOnlyList<string> Told)
{
    /// <summary>What was read on the way, by name below the survey's captures; empty unless it was asked for.</summary>
    public IReadOnlyDictionary<string, CardFileReading> Readings { get; init; } =
        new Dictionary<string, CardFileReading>();

    /// <summary>Files that were there already: of an attempt cut short, or of an earlier intake of the same card.</summary>
    public int FilesKept { get; init; }
}
