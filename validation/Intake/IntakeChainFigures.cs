using System.Globalization;
using System.Text.Json;
using Hillrow.Imaging;
using Hillrow.Intake;
using Hillrow.TestSupport;
using Hillrow.Validation.Chain;

namespace Hillrow.Validation.Intake;

/// <summary>The whole run on two lines of a flight: with blurred captures planted, and taken by a colour camera.</summary>
/// <remarks>Not promised by the issue: told without goals.</remarks>
public sealed class IntakeChainFigures : FigureSource
{
    private const int ColourBits = 8;
    private const double Gamma = 1 / 2.2;
    private const int FullCount = 4095;
    private static readonly string[] Colours = ["red", "green", "blue"];

    public override string Area => "intake";

    public override int Order => 60;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        if (run.Quick)
        {
            yield break;
        }

        FlownCard flown = IntakeFlights.Of(IntakeFlights.Seeds(run)[0], run);
        yield return Blurred(flown, run);
        yield return Colour(flown, run);
    }

    private static Figure Blurred(FlownCard flown, ValidationRun run)
    {
        string root = Path.Combine(run.ScratchFolder, "chain-blurred");
        CardWithFault card = TwoLines(flown, Path.Combine(root, "card"));
        int[] blurred = [.. flown.OfLine(1).Skip(5).Take(3)];
        foreach (int number in blurred)
        {
            card.Smear(number, 7, 30);
        }

        string estate = Estate(flown, Path.Combine(root, "estate"), keepCamera: true);
        HillrowProcess.Must("intake", estate, card.Folder, "--date", "2026-04-12", "--json");
        HillrowProcess.Ended ended = HillrowProcess.Run("run", estate, "--json");
        run.Say($"  run with blurred captures ended with {ended.Code} after {ended.Took.TotalMinutes:0.0} min");
        string where =
            $"of {blurred.Length} captures smeared by 7 pixels on two lines of flight {flown.Seed}; run ended with {ended.Code}";
        if (ended.Code != 0)
        {
            return new Figure("chain.blurredMapped", double.NaN, where);
        }

        HashSet<int> kept =
        [
            .. Newest(estate, "captures.json")
                .GetProperty("captures")
                .EnumerateArray()
                .Where(entry => entry.GetProperty("role").GetString() == nameof(CaptureRole.Survey))
                .Select(entry =>
                    card.NumberOf(
                        entry.GetProperty("capture").GetProperty("frames")[0].GetProperty("file").GetString()!
                    )
                ),
        ];
        bool told = HillrowProcess
            .Must("status", estate, "--json")
            .Result.GetProperty("steps")
            .EnumerateArray()
            .Any(step =>
                step.GetProperty("reasons")
                    .EnumerateArray()
                    .Any(reason => reason.GetString()!.Contains("sharp", StringComparison.Ordinal))
            );
        return new Figure(
            "chain.blurredMapped",
            blurred.Count(kept.Contains),
            $"{where}; told in the run's reasons: {told}; {kept.Count} captures mapped"
        );
    }

    private static Figure Colour(FlownCard flown, ValidationRun run)
    {
        string root = Path.Combine(run.ScratchFolder, "chain-colour");
        string folder = Path.Combine(root, "card");
        CardWithFault lines = TwoLines(flown, Path.Combine(root, "five-bands"));
        CameraProfile five = CameraProfile.Load(flown.ProfileFile);
        IntakeResult captures = IntakeStage.Run(IntakeInput.OfFolder(lines.Folder, five), IntakeSettings.Default);
        Directory.CreateDirectory(folder);
        foreach (IntakeCapture capture in captures.Captures.Where(entry => entry.Role == CaptureRole.Survey))
        {
            WriteColour(lines.Folder, five, capture.Capture, folder);
        }

        string estate = Estate(flown, Path.Combine(root, "estate"), keepCamera: false);
        CameraProfile learned = CameraLearning.Run(folder, LearningAnswers.None, CancellationToken.None).Profile;
        CameraProfile profile = learned with
        {
            // The lens is not in the files: its data sheet tells it.
            Bands = [.. learned.Bands.Select(band => band with { Lens = five.ReferenceBand.Lens })],
        };
        File.WriteAllText(Path.Combine(estate, "cameras", "colour.toml"), profile.ToToml());
        HillrowProcess.Ended taken = HillrowProcess.Run("intake", estate, folder, "--date", "2026-04-12", "--json");
        HillrowProcess.Ended ended = HillrowProcess.Run("run", estate, "--json");
        run.Say(
            $"  run of the colour camera ended with {ended.Code} after {ended.Took.TotalMinutes:0.0} min {ended.Said}"
        );
        JsonElement status = HillrowProcess.Must("status", estate, "--json").Result;
        string states = string.Join(
            ", ",
            status
                .GetProperty("steps")
                .EnumerateArray()
                .Select(step => $"{step.GetProperty("step").GetString()} {step.GetProperty("state")}")
        );
        return new Figure(
            "chain.colourExitCode",
            Math.Max(taken.Code, ended.Code),
            $"exit code of intake and run on {captures.Captures.Count} pictures of three bands of 8 bits; {states}"
        );
    }

    /// <summary>Panel captures and the two inner lines.</summary>
    private static CardWithFault TwoLines(FlownCard flown, string folder)
    {
        Directory.CreateDirectory(Path.GetDirectoryName(folder)!);
        CardWithFault card = new(flown, folder);
        foreach (int number in flown.OfLine(0).Concat(flown.OfLine(FlownCard.Lines - 1)))
        {
            card.Remove(number);
        }

        return card;
    }

    private static string Estate(FlownCard flown, string folder, bool keepCamera)
    {
        TakenCard.CopyTree(flown.EstateFolder, folder);
        if (!keepCamera)
        {
            foreach (string camera in Directory.GetFiles(Path.Combine(folder, "cameras")))
            {
                File.Delete(camera);
            }
        }

        return folder;
    }

    private static void WriteColour(string from, CameraProfile profile, Capture capture, string folder)
    {
        CameraBand band = profile.ReferenceBand;
        int rows = band.Sensor.Rows;
        int columns = band.Sensor.Columns;
        int shift = band.Sensor.Placement == BitPlacement.High ? 16 - band.Sensor.BitDepth : 0;
        ushort[][] planes =
        [
            .. Colours.Select(colour =>
            {
                BandFrame frame = capture.FrameOf(colour)!;
                ushort[] counts = new ushort[rows * columns];
                using PictureFile file = PictureFile.Open(Path.Combine(from, frame.File));
                file.ReadCounts(frame.Page, counts);
                return counts;
            }),
        ];
        TiffSpecimen picture = new(bigEndian: false, bigTiff: false);
        SpecimenDirectory page = picture.AddPage();
        page.Pixels(
            picture,
            rows,
            columns,
            Colours.Length,
            new PixelCoding { Bits = ColourBits },
            (row, column, plane) =>
                Math.Round(
                    ((1 << ColourBits) - 1)
                        * Math.Pow((planes[plane][(row * columns) + column] >> shift) / (double)FullCount, Gamma)
                )
        );
        // Red, green, blue, not five counts of their own.
        page.Entries.RemoveAll(entry => entry.Tag == 262);
        page.Short(262, 2);
        CapturePosition at = capture.Position!;
        Attitude attitude = capture.Attitude!.Value;
        page.Bytes(
            700,
            1,
            System.Text.Encoding.UTF8.GetBytes(
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"""
                    <x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
                    <rdf:Description xmlns:q="urn:q" q:Latitude="{at.Latitude.Degrees:0.00000000}" q:Longitude="{at.Longitude.Degrees:0.00000000}"
                     q:Height="{at.HeightMetres:0.000}" q:Yaw="{attitude.Yaw.Degrees:0.000}" q:Pitch="{attitude.Pitch.Degrees:0.000}" q:Roll="{attitude.Roll.Degrees:0.000}"
                     q:ExposureSeconds="{capture.FrameOf(
                        Colours[0]
                    )!.ExposureSeconds}" q:CaptureTime="{capture.TimeUtc!.Value.UtcDateTime:yyyy-MM-ddTHH:mm:ss.fff}Z"/></rdf:RDF></x:xmpmeta>
                    """
                )
            )
        );
        File.WriteAllBytes(Path.Combine(folder, $"P{capture.Id}.tif"), picture.ToBytes());
    }

    /// <summary>The file of a step that was made last.</summary>
    private static JsonElement Newest(string estate, string name) =>
        JsonDocument
            .Parse(
                File.ReadAllText(
                    Directory
                        .GetFiles(estate, name, SearchOption.AllDirectories)
                        .OrderBy(File.GetLastWriteTimeUtc)
                        .ThenBy(file => file, StringComparer.Ordinal)
                        .Last()
                )
            )
            .RootElement;
}
