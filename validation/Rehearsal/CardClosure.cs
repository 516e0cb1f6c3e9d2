using System.Text;
using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Rehearsal;

namespace Hillrow.Validation.Rehearsal;

/// <summary>One flight written in every dialect and read back by each one's own profile: the captures must be the same.</summary>
public sealed class CardClosure : FigureSource
{
    private const string TruthName = "known-only-to-the-scorer";
    private const int Columns = 192;
    private const int Rows = 144;

    public override string Area => "rehearsal";

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        Tally tally = new();
        IReadOnlyList<ulong> seeds = RehearsedDay.Seeds(run);
        foreach (ulong seed in seeds)
        {
            OfSeed(seed, run, tally);
        }

        yield return new Figure("cards.dialects", CardDialect.All.Count, "dialects that a flight can be written in");
        yield return new Figure(
            "cards.differingQuantities",
            tally.Differing,
            $"{tally.Compared} quantities of the same flights of {seeds.Count} estates (band, counts, time, place, height, attitude, exposure, gain) against the first dialect"
        );
        yield return new Figure(
            "truth.filesThatNameIt",
            tally.Naming,
            $"{tally.Searched} card and profile files searched for the truth folder's name"
        );
    }

    private static void OfSeed(ulong seed, ValidationRun run, Tally tally)
    {
        RehearsedEstateSettings settings = new()
        {
            Seed = seed % 1000,
            Hectares = 0.3,
            Thermal = true,
        };
        RehearsedEstate estate = RehearsedEstate.Build(settings);
        List<ReadFrame>? first = null;
        foreach (CardDialect dialect in CardDialect.All)
        {
            run.Say($"  flying the estate of seed {seed} in the dialect {dialect.Name}");
            string card = Path.Combine(run.ScratchFolder, $"{seed}-{dialect.Name}");
            TruthFolder truth = TruthFolder.Create(
                Path.Combine(run.ScratchFolder, $"{TruthName}-{seed}-{dialect.Name}"),
                Path.Combine(run.ScratchFolder, "estate"),
                settings
            );
            CardFlightResult flown = CardFlight.Fly(estate, Flight(settings, dialect), card, truth, null, default);
            string profileFile = Path.Combine(card, "profile.toml");
            File.WriteAllText(
                profileFile,
                NominalProfile.Of(estate.Rig, dialect, estate.Panel, Columns, Rows, thermal: true).ToToml()
            );
            CameraProfile profile = CameraProfile.Load(profileFile);
            List<ReadFrame> frames =
            [
                .. Enumerable.Range(1, flown.Captures).SelectMany(number => Read(dialect, profile, card, number)),
            ];
            foreach (string file in Directory.EnumerateFiles(card, "*", SearchOption.AllDirectories))
            {
                tally.Searched++;
                string text = Encoding.Latin1.GetString(File.ReadAllBytes(file));
                tally.Naming += text.Contains(TruthName, StringComparison.Ordinal) ? 1 : 0;
            }

            first ??= frames;
            tally.Differing += frames.Count == first.Count ? 0 : 1;
            foreach ((ReadFrame one, ReadFrame other) in first.Zip(frames))
            {
                tally.Compared += ReadFrame.Quantities;
                tally.Differing += one.DiffersIn(other);
            }
        }
    }

    private sealed class Tally
    {
        public int Differing { get; set; }

        public int Compared { get; set; }

        public int Naming { get; set; }

        public int Searched { get; set; }
    }

    private static CardFlightSettings Flight(RehearsedEstateSettings settings, CardDialect dialect) =>
        new("2026-04-12", settings.Dates[0], dialect)
        {
            Captures = 4,
            HeightMetres = 40,
            Columns = Columns,
            Rows = Rows,
            Samples = 1,
            TruthCellMetres = 0.2,
            Threads = Math.Min(2, Environment.ProcessorCount),
        };

    private static IEnumerable<ReadFrame> Read(CardDialect dialect, CameraProfile profile, string card, int number)
    {
        foreach (string file in dialect.FilesOf(number).Append(dialect.ThermalFileOf(number)).Distinct())
        {
            string path = Path.Combine(card, file);
            IReadOnlyList<PropertyBag> bags = PropertyBag.ReadPages(path);
            for (int page = 0; page < bags.Count; page++)
            {
                FrameMetadata said = profile.Metadata.Evaluate(bags[page], path);
                CameraBand? band = profile.Bands.FirstOrDefault(band =>
                    band.Name == said.BandName
                    || (said.CentreNanometres is { } centre && Math.Abs(centre - band.CentreNanometres) < 0.01)
                );
                ushort[] samples = PictureReader.Read(path, page: page).Counts(0).ToArray();
                int[] counts = [.. samples.Select(sample => band?.Sensor.CountOf(sample) ?? -1)];
                yield return new ReadFrame(band?.Name ?? "", counts, said);
            }
        }
    }

    /// <summary>A frame as read.</summary>
    private sealed record ReadFrame(string Band, int[] Counts, FrameMetadata Said)
    {
        public const int Quantities = 9;

        private bool IsThermal => Band == ThermalCamera.BandName;

        /// <summary>How many quantities say something else, beyond the rounding of the number forms.</summary>
        public int DiffersIn(ReadFrame other)
        {
            bool[] same =
            [
                Band.Length > 0 && Band == other.Band,
                Counts.AsSpan().SequenceEqual(other.Counts),
                Near(
                    Said.Time?.TimeUtc?.ToUnixTimeMilliseconds(),
                    other.Said.Time?.TimeUtc?.ToUnixTimeMilliseconds(),
                    1
                ),
                Near(Said.Latitude?.Degrees, other.Said.Latitude?.Degrees, 2e-8)
                    && Near(Said.Longitude?.Degrees, other.Said.Longitude?.Degrees, 2e-8),
                Near(Height(Said), Height(other.Said), 0.007),
                Near(Said.Yaw?.Cosine, other.Said.Yaw?.Cosine, 3e-6)
                    && Near(Said.Yaw?.Sine, other.Said.Yaw?.Sine, 3e-6),
                Near(Said.Pitch?.Degrees, other.Said.Pitch?.Degrees, 2e-4)
                    && Near(Said.Roll?.Degrees, other.Said.Roll?.Degrees, 2e-4),
                // The thermal sensor has neither shutter nor gain.
                IsThermal || Near(Said.ExposureSeconds, other.Said.ExposureSeconds, 2e-8),
                IsThermal || Near(Said.Gain, other.Said.Gain, 1e-4),
            ];
            return same.Count(one => !one);
        }

        private static double? Height(FrameMetadata said) =>
            said is { HeightMetres: { } metres, Latitude: { } latitude, Longitude: { } longitude }
                ? new Height(metres, said.HeightReference).EllipsoidalMetres(
                    new GeographicPoint(latitude, longitude),
                    GeoidModel.Egm96
                )
                : null;

        private static bool Near(double? one, double? other, double within) =>
            one is { } a && other is { } b && Math.Abs(a - b) <= within;
    }
}
