using Hillrow.Numerics;
using Hillrow.Rehearsal;
using Hillrow.Validation.Chain;

namespace Hillrow.Validation.Intake;

/// <summary>A rehearsed flight whose lines lie wide apart, so that a line that is missing leaves a hole.</summary>
/// <remarks>
/// Frames of half as many pixels each way as the rehearsal's camera has, with the same view; four rays a pixel. Captures may be kept between runs, by seed (the issue and HOUSE.md allow it for
/// rendered captures); what is measured on them is made afresh.
/// </remarks>
internal sealed class FlownCard
{
    public const int Lines = 4;
    private const double Hectares = 1.2;
    public const int PixelEdge = 2;
    public const int Columns = TrueRig.Columns / PixelEdge;
    public const int Rows = TrueRig.Rows / PixelEdge;
    private const double HeightMetres = 65;
    private const double ForwardOverlap = 0.78;
    private const double SideOverlap = 0.4;
    private const string Date = "2026-04-12";

    private FlownCard(ulong seed, string root, RehearsedEstate model, CardDialect dialect)
    {
        Seed = seed;
        EstateFolder = Path.Combine(root, "estate");
        Truth = TruthFolder.Open(Path.Combine(root, "truth"));
        CardFolder = Path.Combine(root, "card");
        Model = model;
        Dialect = dialect;
        Plan = PlanOver(model);
    }

    public ulong Seed { get; }

    /// <summary>Blocks, terrain and camera profiles; no survey. Not to be changed: copy it.</summary>
    public string EstateFolder { get; }

    /// <summary>As the camera wrote it. Not to be changed: link to it.</summary>
    public string CardFolder { get; }

    /// <summary>For the judge alone.</summary>
    public TruthFolder Truth { get; }

    public RehearsedEstate Model { get; }

    public CardDialect Dialect { get; }

    public string ProfileFile => Path.Combine(EstateFolder, "cameras", Dialect.Name + ".toml");

    /// <summary>Capture number less 2 is the place in it: the first capture shows the panel.</summary>
    public IReadOnlyList<PlannedCapture> Plan { get; }

    /// <summary>Panel, plan, panel.</summary>
    public int Captures => Plan.Count + 2;

    /// <summary>Flies, or takes the flight that was kept.</summary>
    /// <param name="folder">Kept flights by seed.</param>
    public static FlownCard Fly(ulong seed, string folder, Action<string> say)
    {
        CardDialect dialect = CardDialect.All[(int)(seed % (ulong)CardDialect.All.Count)];
        string root = Path.Combine(folder, FormattableString.Invariant($"flight-{seed}"));
        string done = Path.Combine(root, "flown");
        if (!File.Exists(done))
        {
            if (Directory.Exists(root))
            {
                Directory.Delete(root, recursive: true);
            }

            string estate = Path.Combine(root, "estate");
            string truthFolder = Path.Combine(root, "truth");
            HillrowProcess.Must(
                "rehearse",
                "estate",
                estate,
                "--truth",
                truthFolder,
                "--seed",
                FormattableString.Invariant($"{seed}"),
                "--hectares",
                FormattableString.Invariant($"{Hectares}")
            );
            TruthFolder truth = TruthFolder.Open(truthFolder);
            RehearsedEstate model = RehearsedEstate.Build(truth.Settings());
            CardFlight.Fly(
                model,
                new CardFlightSettings(Date, DateOnly.Parse(Date), dialect)
                {
                    Plan = PlanOver(model),
                    Columns = Columns,
                    Rows = Rows,
                    PixelEdge = PixelEdge,
                    // The maps of the truth are not looked at here.
                    TruthCellMetres = 0.5,
                },
                Path.Combine(root, "card"),
                truth,
                null,
                CancellationToken.None
            );
            // The full camera's profile goes: this one has fewer pixels.
            foreach (string other in Directory.GetFiles(Path.Combine(estate, "cameras")))
            {
                File.Delete(other);
            }

            File.WriteAllText(
                Path.Combine(estate, "cameras", dialect.Name + ".toml"),
                NominalProfile.Of(model.Rig.Coarser(PixelEdge), dialect, model.Panel, Columns, Rows).ToToml()
            );

            File.WriteAllText(done, "");
            say(FormattableString.Invariant($"  flown: seed {seed}, {dialect.Name}, {PlanOver(model).Count} captures"));
        }

        return new FlownCard(
            seed,
            root,
            RehearsedEstate.Build(TruthFolder.Open(Path.Combine(root, "truth")).Settings()),
            dialect
        );
    }

    /// <summary>True pose of a capture, by its number from 1.</summary>
    public PoseTruth PoseOf(int number) => Truth.Read<PoseTruth>(CardFlight.PoseFile(Date, number));

    /// <summary>Number of the n-th capture of a line.</summary>
    public IEnumerable<int> OfLine(int line) =>
        Enumerable.Range(0, Plan.Count).Where(at => Plan[at].Line == line).Select(at => at + 2);

    private static IReadOnlyList<PlannedCapture> PlanOver(RehearsedEstate estate)
    {
        double pixel = HeightMetres * TrueRig.PixelMicrometres / (TrueRig.NominalFocalMillimetres * 1000);
        double along = pixel * TrueRig.Rows * (1 - ForwardOverlap);
        // A capture and a half beyond the estate at each end.
        int each = (int)Math.Ceiling(estate.Model.Extent.WidthMetres / along) + 3;
        return FlightLines.Over(
            HillsideTerrain.Smooth(estate.Model),
            estate.Model.Extent.WestMetres + (estate.Model.Extent.WidthMetres / 2),
            estate.Model.Extent.SouthMetres + (estate.Model.Extent.LengthMetres / 2),
            HeightMetres,
            Lines,
            each,
            90,
            ForwardOverlap,
            SideOverlap
        );
    }
}
