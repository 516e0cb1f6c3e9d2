using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>What to fly and how to write it down.</summary>
/// <param name="FlightId">Names the truth's folder: the date, with a short name when a day has several.</param>
/// <param name="Date">One of the estate's dates.</param>
/// <param name="Dialect">How the camera writes.</param>
public sealed record CardFlightSettings(string FlightId, DateOnly Date, CardDialect Dialect)
{
    /// <summary>First trigger; null takes 14:30 UTC, which is mid-morning in the invented valley.</summary>
    public DateTimeOffset? Start { get; init; }

    /// <summary>Triggers over the crop, besides the panel pictures.</summary>
    public int Captures { get; init; } = 40;

    public double HeightMetres { get; init; } = 65;

    /// <summary>0 none … 1 overcast.</summary>
    public double CloudCover { get; init; }

    /// <summary>Share of the beam that the thickest cloud lets through.</summary>
    public double CloudTransmittance { get; init; } = AskedFlight.UsualCloudTransmittance;

    /// <summary>Rays per pixel.</summary>
    public int Samples { get; init; } = 4;

    public int Threads { get; init; } = Environment.ProcessorCount;

    /// <summary>Cell of the truth's maps.</summary>
    public double TruthCellMetres { get; init; } = 0.05;

    public int Columns { get; init; } = TrueRig.Columns;

    public int Rows { get; init; } = TrueRig.Rows;

    /// <summary>
    /// Edge of the pixels in those of the full frame: 2 flies a camera of the same view with half as many pixels each
    /// way. Columns and rows are then to be divided likewise.
    /// </summary>
    public int PixelEdge { get; init; } = 1;

    /// <summary>Triggers of a plan made elsewhere, local frame; null lays plain lines over the estate.</summary>
    /// <remarks>The door for plan files: their reader makes these; <see cref="Captures"/> is then not looked at.</remarks>
    public IReadOnlyList<PlannedCapture>? Plan { get; init; }

    /// <summary>Every broken rule, with what is allowed.</summary>
    public IReadOnlyList<string> Problems()
    {
        List<string> problems = [];
        if (Plan is { Count: < 1 or > 2000 })
        {
            problems.Add($"the plan has {Plan.Count} captures, but must have from 1 to 2000");
        }
        else if (Plan is null && Captures is < 4 or > 2000)
        {
            problems.Add($"captures is {Captures}, but must be from 4 to 2000");
        }

        if (!(HeightMetres is >= 25 and <= 120))
        {
            problems.Add(FormattableString.Invariant($"height is {HeightMetres}, but must be from 25 to 120 metres"));
        }

        if (Samples is not (1 or 4 or 9 or 16))
        {
            // As many along a pixel's edge as across it.
            problems.Add($"rays is {Samples}, but must be 1, 4, 9 or 16");
        }

        if (!(CloudCover is >= 0 and <= 1))
        {
            problems.Add(FormattableString.Invariant($"clouds is {CloudCover}, but must be from 0 to 1"));
        }

        return problems;
    }
}

/// <summary>What a rehearsed flight left.</summary>
/// <param name="Captures">On the card, panel pictures included.</param>
/// <param name="Made">Of them made now; the others were there already.</param>
public sealed record CardFlightResult(int Captures, int Made);

/// <summary>Flies the modelled estate and writes the card as the camera would, and the truth elsewhere.</summary>
public static class CardFlight
{
    /// <summary>What a user knows of the receiver: single-frequency, about a metre.</summary>
    private const double ClaimedSigmaMetres = 1.5;

    /// <summary>Goes on where an earlier try stopped: a capture whose files and truth are there is not made again.</summary>
    /// <param name="cardFolder">Outside the estate; made when missing.</param>
    /// <exception cref="InputProblemException">A setting breaks a rule, or the folder holds another flight.</exception>
    /// <exception cref="OperationCanceledException">Asked for; what is finished is kept.</exception>
    public static CardFlightResult Fly(
        RehearsedEstate estate,
        CardFlightSettings settings,
        string cardFolder,
        TruthFolder truth,
        IProgress<WorkProgress>? progress,
        CancellationToken cancel
    )
    {
        ArgumentNullException.ThrowIfNull(estate);
        ArgumentNullException.ThrowIfNull(settings);
        ArgumentNullException.ThrowIfNull(truth);
        if (settings.Problems() is { Count: > 0 } problems)
        {
            throw new InputProblemException("hillrow rehearse fly", string.Join("; ", problems) + ".", "Change them.");
        }

        int dateIndex = estate.DateIndex(settings.Date);
        Directory.CreateDirectory(cardFolder);
        CheckSameFlight(settings, cardFolder, truth);
        progress?.Report(new WorkProgress("growing the estate", 0));
        ulong seed = FlightSeed(estate, settings);
        DateTimeOffset start = settings.Start ?? new DateTimeOffset(settings.Date, new TimeOnly(14, 30), TimeSpan.Zero);
        CloudField clouds =
            settings.CloudCover > 0
                ? new CloudField(settings.CloudCover, 4.4, 1.7, settings.CloudTransmittance, seed)
                : CloudField.None;
        double haze = new SplittableRandom(seed).Split("haze").NextDouble(0.07, 0.2);
        IReadOnlyList<PlannedCapture> plan =
            settings.Plan ?? CoveringPlan.Over(estate, settings.Captures, settings.HeightMetres);
        ModelledScene scene = estate.SceneAt(
            dateIndex,
            start.AddSeconds(plan[^1].Seconds / 2),
            clouds,
            haze,
            settings.Threads
        );
        int total = plan.Count + 2;
        List<int> made = [];
        CardCamera camera = Camera(estate, settings);
        RehearsalFlight flight = new(
            scene,
            estate.Rig.Coarser(settings.PixelEdge),
            estate.Sensor,
            estate.Place,
            new RehearsalFlightSettings(seed, start)
            {
                Samples = settings.Samples,
                Threads = settings.Threads,
                PanelSeed = estate.Settings.Seed,
                PanelPlace = estate.PanelPlace,
                Thermal = estate.Thermal,
                Columns = settings.Columns,
                Rows = settings.Rows,
            }
        );
        flight.Fly(
            plan,
            capture =>
            {
                settings.Dialect.Write(cardFolder, capture, camera);
                FrameTruthFiles.Write(truth, settings.FlightId, capture);
                // Last, so that it tells that the capture is complete.
                truth.Write(PoseFile(settings.FlightId, capture.Number), PoseTruth.Of(capture, estate.Place));
                made.Add(capture.Number);
                progress?.Report(new WorkProgress("taking pictures", 0.95 * capture.Number / total));
            },
            number =>
            {
                cancel.ThrowIfCancellationRequested();
                return !IsThere(settings, estate.Thermal is not null, cardFolder, truth, number);
            }
        );
        progress?.Report(new WorkProgress("keeping the truth", 0.95));
        WriteTruth(estate, settings, truth, scene, plan, total, start);
        GroundControl.Write(
            estate,
            scene.Terrain,
            settings,
            [
                .. Enumerable
                    .Range(1, total)
                    .Select(number => truth.Read<PoseTruth>(PoseFile(settings.FlightId, number))),
            ],
            cardFolder
        );
        progress?.Report(new WorkProgress("keeping the truth", 1));
        return new CardFlightResult(total, made.Count);
    }

    /// <summary>Where a capture's truth lies in the truth folder.</summary>
    public static string PoseFile(string flightId, int captureNumber) =>
        FormattableString.Invariant($"{flightId}/captures/{captureNumber:0000}.json");

    private static ulong FlightSeed(RehearsedEstate estate, CardFlightSettings settings) =>
        new SplittableRandom(estate.Settings.Seed).Split("flight " + settings.FlightId).NextUInt64();

    /// <summary>Mean height of the triggers above the smooth ground below them.</summary>
    private static double MeanHeight(RehearsedEstate estate, IReadOnlyList<PlannedCapture> plan)
    {
        Func<double, double, double> ground = HillsideTerrain.Smooth(estate.Model);
        return plan.Average(at => at.PositionMetres.Z - ground(at.PositionMetres.X, at.PositionMetres.Y));
    }

    private static CardCamera Camera(RehearsedEstate estate, CardFlightSettings settings) =>
        new(
            FormattableString.Invariant($"HR{estate.Settings.Seed % 1_000_000:000000}"),
            [.. estate.Rig.Lenses.Select(lens => Math.Round(lens.Sensor.BlackCounts * 16) / 16)],
            settings.Columns,
            settings.Rows,
            ClaimedSigmaMetres
        );

    private static bool IsThere(
        CardFlightSettings settings,
        bool thermal,
        string cardFolder,
        TruthFolder truth,
        int number
    ) =>
        truth.Has(PoseFile(settings.FlightId, number))
        && settings.Dialect.FilesOf(number).All(file => File.Exists(Path.Combine(cardFolder, file)))
        && (!thermal || File.Exists(Path.Combine(cardFolder, settings.Dialect.ThermalFileOf(number))));

    /// <summary>A card begun with other settings must not be mixed with this one.</summary>
    private static void CheckSameFlight(CardFlightSettings settings, string cardFolder, TruthFolder truth)
    {
        string relative = settings.FlightId + "/asked.json";
        AskedFlight asked = AskedFlight.Of(settings, cardFolder);
        if (!truth.Has(relative))
        {
            if (Directory.EnumerateFileSystemEntries(cardFolder).Any())
            {
                throw new InputProblemException(
                    cardFolder,
                    "is not empty.",
                    "Name a folder that is new or empty with --card."
                );
            }

            truth.Write(relative, asked);
        }
        else if (truth.Read<AskedFlight>(relative) is { } before && before != asked)
        {
            throw new InputProblemException(
                cardFolder,
                $"holds the flight {settings.FlightId} flown otherwise ({before.Dialect}, {before.Captures} captures, clouds {before.CloudCover}, card {before.Card}).",
                "Fly as before to go on with it, or give this flight another name with --name."
            );
        }
    }

    private static void WriteTruth(
        RehearsedEstate estate,
        CardFlightSettings settings,
        TruthFolder truth,
        ModelledScene scene,
        IReadOnlyList<PlannedCapture> plan,
        int total,
        DateTimeOffset start
    )
    {
        string id = settings.FlightId;
        string folder = truth.FlightFolder(id);
        OrthoTruth maps = OrthoTruth.Render(
            scene,
            estate.Place,
            TruthMaps.GridOver(estate, settings.TruthCellMetres),
            settings.Samples,
            settings.Threads
        );
        TruthMaps.Write(folder, maps, settings.Threads);
        truth.WriteLines(id + "/plants.jsonl", TruthMaps.PlantsOf(estate, scene.Planting, maps));
        truth.WriteLines(id + "/gaps.jsonl", TruthMaps.GapsOf(estate, scene.Planting));
        truth.Write(id + "/rig.json", estate.Rig.Coarser(settings.PixelEdge).Lenses.Select(LensTruth.Of));
        if (estate.Thermal is { } thermal)
        {
            truth.Write(id + "/thermal-camera.json", ThermalCameraTruth.Of(thermal));
        }

        (GridPoint low, GridPoint high) = CoveringPlan.WellCovered(estate, plan, MeanHeight(estate, plan));
        Vector3D sun = scene.Light.TowardsSun;
        truth.Write(
            id + "/flight.json",
            new FlightTruth(
                settings.Date,
                settings.Dialect.Name,
                total,
                start,
                Angle.FromRadians(Math.Atan2(sun.X, sun.Y)).WrappedPositive().Degrees,
                scene.Light.SunElevationDegrees,
                estate.Model.PlantSpacingMetres,
                low.EastingMetres,
                low.NorthingMetres,
                high.EastingMetres,
                high.NorthingMetres,
                [.. RigBand.Five.Select(band => band.Name)]
            )
        );
    }
}
