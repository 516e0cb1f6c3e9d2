using System.Diagnostics;
using Hillrow.Earth;
using Hillrow.Estate;
using Hillrow.Numerics;
using Hillrow.Plants;
using Microsoft.Data.Sqlite;

namespace Hillrow.Validation.Plants;

/// <summary>
/// A ledger of 1,000,000 plants and 20 surveys: how long a map view and a plant's history take, through the queries that
/// the commands use, each on a database just opened.
/// </summary>
public sealed class LedgerFigures : FigureSource
{
    private const int Surveys = 20;
    private const double RowMetres = 2.5;
    private const double PlantMetres = 1.5;

    /// <summary>What a map draws as single plants; more are drawn as a picture.</summary>
    private const int LargestView = 5000;

    private const int Questions = 40;

    public override string Area => "plants";

    public override int Order => 9;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        int plants = run.Quick ? 50_000 : 1_000_000;
        int columns = (int)Math.Sqrt(plants * RowMetres / PlantMetres);
        Stopwatch watch = Stopwatch.StartNew();
        EstateFolder estate = Build(run.ScratchFolder, plants, columns);
        run.Say(
            $"{plants} plants × {Surveys} surveys are written in {watch.Elapsed.TotalSeconds:F0} s, {Directory.EnumerateFiles(estate.Root, "*", SearchOption.AllDirectories).Sum(file => new FileInfo(file).Length) / 1e9:F1} GB"
        );
        LedgerQueries ledger = new(estate);
        SplittableRandom random = new SplittableRandom(run.DrawnSeed).Split("ledger");
        List<double> views = [];
        List<double> histories = [];
        int seen = 0;
        for (int question = 0; question < Questions; question++)
        {
            // A view of 120 × 120 m: about 3,800 plants.
            double west = 500_000 + (random.NextDouble() * ((columns * PlantMetres) - 120));
            double south = 9_200_000 + (random.NextDouble() * ((plants / columns * RowMetres) - 120));
            watch.Restart();
            LedgerView view = ledger.InView(west, south, west + 120, south + 120, LargestView);
            views.Add(watch.Elapsed.TotalMilliseconds);
            seen += view.Plants.Count;
            long number = 1 + (long)(random.NextDouble() * plants);
            watch.Restart();
            IReadOnlyList<PlantSighting> history = ledger.History(number);
            histories.Add(watch.Elapsed.TotalMilliseconds);
            if (history.Count != Surveys || view.TooMany)
            {
                throw new InvalidOperationException($"{history.Count} sightings, too many: {view.TooMany}.");
            }
        }

        watch.Restart();
        LedgerView whole = ledger.InView(0, 0, 1e7, 1e8, LargestView);
        double tooMany = watch.Elapsed.TotalMilliseconds;
        views.Sort();
        histories.Sort();
        string how =
            $"median of {Questions}, database opened for each; {plants} plants, {Surveys} surveys (machine-dependent)";
        yield return new Figure(
            "ledger.mapViewMilliseconds",
            views[Questions / 2],
            FormattableString.Invariant(
                $"{how}; 120 × 120 m, {seen / Questions} plants; slowest {views[^1]:F0} ms; whole estate, told as too many ({whole.TooMany}): {tooMany:F0} ms"
            )
        );
        yield return new Figure(
            "ledger.historyMilliseconds",
            histories[Questions / 2],
            FormattableString.Invariant($"{how}; slowest {histories[^1]:F0} ms")
        );
    }

    private static EstateFolder Build(string scratch, int plants, int columns)
    {
        EstateFolder estate = EstateFolder.Create(
            Path.Combine(scratch, "estate"),
            EstateSettings.Plain("Many plants", ReferenceSystem.Utm(18, north: false), Language.English)
        );
        string first = Path.Combine(estate.Root, "observations.gpkg");
        ObservationsFile.Write(
            first,
            estate.ReferenceSystem,
            new DateOnly(2026, 1, 1),
            [
                new("top_height_metres", "m", "top"),
                new("crown_area_square_metres", "m2", "crown"),
                new("ndvi_mean", "1", "ndvi"),
                new("ndre_mean", "1", "ndre"),
            ],
            Enumerable
                .Range(0, plants)
                .Select(at => new PlantObservation(
                    at + 1,
                    PlaceOf(at, columns),
                    [1.8, 1.2, 0.7, 0.3 + (at % 7 * 0.01)]
                ))
        );
        using SqliteConnection connection = estate.OpenDatabase();
        GeoPackageConnection.InTransaction(
            connection,
            () =>
            {
                LedgerPlant[] entries =
                [
                    .. Enumerable
                        .Range(0, plants)
                        .Select(at => new LedgerPlant(
                            at + 1,
                            0,
                            "",
                            (at % columns) + 1,
                            new KnownPlant(at + 1, (at / columns) + 1, PlaceOf(at, columns), 0.05, 1.8, 1.2),
                            "2026-01-01",
                            "2026-01-20",
                            LedgerState.Standing,
                            new IssuedAt("2026-01-01", PlaceOf(at, columns))
                        )),
                ];
                IssuedNumbers.Replace(connection, new Ledger(entries, []), estate.ReferenceSystem.EpsgCode);
                for (int survey = 0; survey < Surveys; survey++)
                {
                    string id = FormattableString.Invariant($"2026-01-{survey + 1:00}");
                    string place = $"surveys/{id}/observations/0";
                    Directory.CreateDirectory(Path.Combine(estate.Root, place));
                    File.Copy(first, Path.Combine(estate.Root, place, ObservationsFile.FileName));
                    GeoPackageConnection.Execute(
                        connection,
                        """
                        INSERT INTO run_steps (step, subject, fingerprint, state, reasons, place, content, method, source,
                          settings, program, runtime, processor, libraries)
                        VALUES ('observations', $id, '', 'done', '', $place, '', '', '', '', '', '', '', '')
                        """,
                        ("$id", id),
                        ("$place", place)
                    );
                }

                return true;
            }
        );
        return estate;
    }

    private static GridPoint PlaceOf(int at, int columns) =>
        new(500_000 + (at % columns * PlantMetres), 9_200_000 + (at / columns * RowMetres));
}
