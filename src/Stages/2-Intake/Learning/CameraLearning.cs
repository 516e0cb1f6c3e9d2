using System.Globalization;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Intake;

/// <summary>Learns a camera's profile from a folder of its files, and says what the files leave open.</summary>
/// <remarks>
/// Nothing is known of makers. Places are proposed by the plain words of names, by values and units, and by how values vary
/// between bands and triggers; what does not agree becomes a doubt with the answer that would settle it. A profile always
/// comes out; it is fit for use when its doubts are settled.
/// </remarks>
public static class CameraLearning
{
    private const double UsualTriggerSeconds = 1;
    private const int MostNotes = 8;

    /// <param name="folder">One camera's files; a whole sortie teaches most.</param>
    /// <param name="answers">Settle doubts; places given are believed.</param>
    /// <param name="cancel">Stops the work.</param>
    /// <exception cref="InputProblemException">No readable picture, or an answer at fault.</exception>
    public static LearnedCamera Run(string folder, LearningAnswers answers, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(folder);
        ArgumentNullException.ThrowIfNull(answers);
        LearningSample sample = LearningSample.Read(folder, cancel);
        IReadOnlyList<Channel> channels = ChannelListing.Of(sample.Frames);
        FrameStructure structure = FrameStructure.Find(sample.Frames, channels);
        LearningDesk desk = new(sample, channels, structure, answers);
        TimeProposal.Make(desk);
        PositionProposal.Make(desk);
        AttitudeProposal.Make(desk);
        LightProposal.Make(desk);
        IdentityProposal.Make(desk);
        IReadOnlyList<CameraBand> bands = BandProposal.Make(desk);
        ApplyPlaces(desk);
        CameraProfile profile = Profile(desk, bands);
        DoubtUnread(desk, profile.Metadata);
        LearningCheck check = Check(folder, profile, desk, cancel);
        foreach (string unused in answers.Unused.Where(key => !Known(key)))
        {
            throw new InputProblemException(
                $"--answer {unused}",
                "is no question of this camera.",
                "The doubts that were told name the answers."
            );
        }

        return new LearnedCamera
        {
            Profile = profile,
            Files = sample.Files,
            Properties = [.. channels.Where(one => one.Rule.FileName is null).Select(one => Property(one, structure))],
            Quantities = desk.Quantities,
            Doubts = desk.Doubts,
            Check = check,
        };
    }

    private static bool Known(string key) =>
        key is "name" or "bands" or "clock" or "time" or "check" or "trigger"
        || key.StartsWith("band.", StringComparison.Ordinal)
        || Enum.GetValues<FrameQuantity>()
            .Any(quantity => key.StartsWith(LearningDesk.Word(quantity), StringComparison.Ordinal));

    private static LearnedProperty Property(Channel one, FrameStructure structure) =>
        new(one.Place, one.Texts.First(text => text is not null)!, one.Present, one.Distinct, structure.Varies(one));

    /// <summary>Places that the user has named take the place of proposals.</summary>
    private static void ApplyPlaces(LearningDesk desk)
    {
        foreach (FrameQuantity quantity in Enum.GetValues<FrameQuantity>())
        {
            string name = LearningDesk.Word(quantity);
            if (desk.Answers.Find(name) is not { } place || place.Equals("yes", StringComparison.OrdinalIgnoreCase))
            {
                continue;
            }

            desk.Quantities.RemoveAll(one => one.Quantity == name);
            desk.Rules.Remove(quantity);
            if (place.Equals("none", StringComparison.OrdinalIgnoreCase))
            {
                continue;
            }

            Channel channel =
                desk.Channels.FirstOrDefault(one => one.Place.Equals(place, StringComparison.OrdinalIgnoreCase))
                ?? desk.Channels.FirstOrDefault(one =>
                    one.Place.EndsWith(" " + place, StringComparison.OrdinalIgnoreCase)
                )
                ?? throw new InputProblemException(
                    $"--answer {name}={place}",
                    "is no place in these files.",
                    "Name it as the list of properties does, for instance \"xmp Exposure\" or \"exif 33434\"."
                );
            desk.Propose(quantity, channel.Place, channel.Rule, "answered", null);
        }
    }

    private static CameraProfile Profile(LearningDesk desk, IReadOnlyList<CameraBand> bands)
    {
        string? model = desk
            .Channels.FirstOrDefault(one => one.Rule.Property == PropertyKey.Tiff(272))
            ?.Texts.FirstOrDefault(text => text is not null);
        string name = desk.Answers.Find("name") ?? model ?? "learned camera";
        bool irradiance = desk.Rules.TryGetValue(FrameQuantity.Irradiance, out IReadOnlyList<ValueRule>? light);
        CameraProfile profile = new()
        {
            Name = name,
            Note = string.Create(
                CultureInfo.InvariantCulture,
                $"Learned from {desk.Sample.Files} files. Lenses are taken as free of distortion and as standing in one point: reconstruction refines them."
            ),
            Bands = bands,
            ReferenceBandName = bands[bands.Count / 2].Name,
            ShortestTriggerIntervalSeconds = TriggerInterval(desk),
            IrradianceSensor = irradiance
                ? new IrradianceSensor(
                    light![0].Unit is "" or "relative"
                        ? IrradianceUnit.Relative
                        : IrradianceUnit.WattsPerSquareMetreNanometre,
                    Attitude.FromDegrees(0, 0, 0),
                    null,
                    new Dictionary<string, double>()
                )
                : null,
            Metadata = new MetadataMap
            {
                HeightReference = desk.HeightReference,
                Time = [.. desk.Time],
                SatelliteTime = [.. desk.SatelliteTime],
                Values = desk.Rules,
            },
        };
        IReadOnlyList<ProfileProblem> problems = profile.Problems();
        return problems.Count == 0
            ? profile
            : throw new InputProblemException(
                name,
                "no fit profile came out: " + string.Join("; ", problems.Select(problem => problem.ToString())),
                "Settle the band names and wavelengths with --answer band.N.name=…, band.N.wavelength=…."
            );
    }

    /// <summary>A rule that reads nothing from most triggers is told, whatever made it look right.</summary>
    private static void DoubtUnread(LearningDesk desk, MetadataMap map)
    {
        IReadOnlyList<FrameMetadata> read = desk.PerCapture(map);
        foreach (
            (FrameQuantity quantity, Func<FrameMetadata, bool> has) in new (FrameQuantity, Func<FrameMetadata, bool>)[]
            {
                (FrameQuantity.Latitude, one => one.Latitude is not null),
                (FrameQuantity.Longitude, one => one.Longitude is not null),
                (FrameQuantity.Height, one => one.HeightMetres is not null),
                (FrameQuantity.Yaw, one => one.Yaw is not null),
                (FrameQuantity.Pitch, one => one.Pitch is not null),
                (FrameQuantity.Roll, one => one.Roll is not null),
                (FrameQuantity.Exposure, one => one.ExposureSeconds is not null),
                (FrameQuantity.Gain, one => one.Gain is not null),
                (FrameQuantity.Irradiance, one => one.Irradiances is { Count: > 0 }),
            }
        )
        {
            int found = read.Count(has);
            if (desk.Rules.ContainsKey(quantity) && found * 2 < read.Count)
            {
                string name = LearningDesk.Word(quantity);
                desk.Doubt(
                    name,
                    string.Create(
                        CultureInfo.InvariantCulture,
                        $"read as proposed, only {found} of {read.Count} triggers give a value."
                    ),
                    $"{name}=PLACE, or mend it in the profile by hand"
                );
            }
        }
    }

    private static double TriggerInterval(LearningDesk desk)
    {
        MetadataMap map = new() { Time = [.. desk.Time], SatelliteTime = [.. desk.SatelliteTime] };
        DateTime[] clocks =
        [
            .. desk.PerCapture(map).Select(one => (one.Time ?? one.SatelliteTime)?.Clock).OfType<DateTime>().Order(),
        ];
        double[] gaps =
        [
            .. clocks
                .Zip(clocks.Skip(1))
                .Select(pair => (pair.Second - pair.First).TotalSeconds)
                .Where(gap => gap > 0.05)
                .Order(),
        ];
        return gaps.Length < 3 ? UsualTriggerSeconds : Math.Clamp(Math.Round(gaps[gaps.Length / 10], 2), 0.05, 60);
    }

    /// <summary>Reads the folder with what was written, as intake will.</summary>
    private static LearningCheck Check(
        string folder,
        CameraProfile profile,
        LearningDesk desk,
        CancellationToken cancel
    )
    {
        CameraProfile read = CameraProfile.Parse(profile.ToToml(), profile.Name);
        IntakeResult result = IntakeStage.Run(
            IntakeInput.OfFolder(folder, read),
            IntakeSettings.Default,
            cancel: cancel
        );
        int complete = result.Captures.Count(one => one.Capture.Frames.Count == read.Bands.Count);
        int expected = desk.Structure.Captures;
        if (result.Captures.Count != expected || complete < 0.9 * expected)
        {
            desk.Doubt(
                "check",
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"read with this profile the folder gives {result.Captures.Count} captures, {complete} of them with every band; {expected} triggers were expected."
                ),
                "mend what is doubtful above, then learn again"
            );
        }

        return new LearningCheck(
            result.Captures.Count,
            complete,
            result.Outcome.Verdict.ToString(),
            [
                .. result
                    .Notes.Where(note => note.Weight != NoteWeight.Told)
                    .Take(MostNotes)
                    .Select(note => note.ToString()),
            ]
        );
    }
}
