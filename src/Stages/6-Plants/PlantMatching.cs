using Hillrow.Earth;
using Hillrow.Numerics.Assignment;
using Hillrow.Numerics.Statistics;

namespace Hillrow.Plants;

/// <summary>A plant that the ledger knows in a block, as it was last seen.</summary>
/// <param name="Number">Issued once, never changed, never used again.</param>
/// <param name="Row">Row number when last seen; rows may be renumbered by a survey.</param>
/// <param name="Place">Best place so far.</param>
/// <param name="PlaceSigmaMetres">Standard uncertainty of each coordinate.</param>
/// <param name="HeightMetres">Top height when last seen; NaN unknown.</param>
/// <param name="CrownAreaSquareMetres">Likewise; NaN unknown.</param>
public sealed record KnownPlant(
    long Number,
    int Row,
    GridPoint Place,
    double PlaceSigmaMetres,
    double HeightMetres,
    double CrownAreaSquareMetres
);

/// <summary>What became of a plant between two surveys.</summary>
public enum PlantFate
{
    /// <summary>The same plant.</summary>
    Same,

    /// <summary>The same plant, cut back hard.</summary>
    Stumped,

    /// <summary>A plant where none was known.</summary>
    New,

    /// <summary>A young plant beside or instead of one that is gone; has a number of its own.</summary>
    Replanted,
}

/// <summary>One found plant with its number.</summary>
/// <param name="FoundIndex">Position in the list of found plants.</param>
/// <param name="Number">Known or newly issued.</param>
/// <param name="Fate">What became of it.</param>
/// <param name="Follows">Number of the plant whose place a replanted one took.</param>
/// <param name="OffMetres">Distance from the known place after the block's shift; NaN for new ones.</param>
public sealed record MatchedPlant(int FoundIndex, long Number, PlantFate Fate, long? Follows, double OffMetres);

/// <summary>The identities of one survey of one block.</summary>
/// <param name="ShiftEastMetres">Add to the survey's places to bring them onto the ledger's.</param>
/// <param name="ShiftNorthMetres">Likewise.</param>
/// <param name="ShiftSupport">Share of known plants that the shift explains, 0 … 1.</param>
/// <param name="Plants">One for every found plant, in their order.</param>
/// <param name="Gone">Known plants that a gap or another plant took the place of, by number.</param>
/// <param name="Unseen">Known plants whose place this survey could not see, by number.</param>
/// <param name="BlockStumped">True when the whole block was cut back.</param>
public sealed record PlantMatch(
    double ShiftEastMetres,
    double ShiftNorthMetres,
    double ShiftSupport,
    IReadOnlyList<MatchedPlant> Plants,
    IReadOnlyList<long> Gone,
    IReadOnlyList<long> Unseen,
    bool BlockStumped
);

/// <summary>How identities are decided.</summary>
public sealed record MatchSettings
{
    /// <summary>Largest whole-block shift between surveys: what plain satellite positioning leaves, and a bit.</summary>
    public double LargestShiftMetres { get; init; } = 3;

    /// <summary>A plant is looked for within this share of the planting distance: beyond half, its neighbour is as near.</summary>
    public double GateShare { get; init; } = 0.5;

    /// <summary>A young plant this many standard uncertainties away from the known place is another plant.</summary>
    public double ReplantedSigmas { get; init; } = 2.5;

    /// <summary>… and at least this far, whatever the uncertainties say.</summary>
    public double ReplantedLeastMetres { get; init; } = 0.12;

    /// <summary>… and this much shorter, against what the block's plants became on the whole.</summary>
    public double ReplantedHeightShare { get; init; } = 0.6;

    /// <summary>A block whose plants fell to this share of their height (median) was stumped.</summary>
    public double StumpedHeightShare { get; init; } = 0.55;
}

/// <summary>Tells which found plant is which known one: a robust shift of the block, then the best assignment of all at once.</summary>
/// <remarks>
/// Deterministic: lists are put in order of place before anything is decided, so the order of the input does not matter.
/// </remarks>
public static class PlantMatching
{
    private const double LeastSigmaMetres = 0.03;

    // Crowns enough to tell how they scatter, and how far off a replanted one must lie.
    private const int FewCrowns = 10;
    private const double CrownSigmas = 2.5;

    // Two surveys' errors together, nineteen times in twenty; and where people and maps no longer mean the same tree.
    private const double ScatteredGateSigmas = 2.8;
    private const double ScatteredGateMetres = 3;

    /// <param name="known">The block's living plants in the ledger.</param>
    /// <param name="found">This survey's plants of the block.</param>
    /// <param name="hidden">Places that the survey could not see.</param>
    /// <param name="plantSpacingMetres">Planting distance.</param>
    /// <param name="nextNumber">First number that was never issued.</param>
    /// <param name="settings">How to decide; null: as they come.</param>
    /// <param name="certain">Pairs that a person has settled: position among the found plants → known number.</param>
    public static PlantMatch Match(
        IReadOnlyList<KnownPlant> known,
        IReadOnlyList<PlantRecord> found,
        IReadOnlyList<EmptyPosition> hidden,
        double plantSpacingMetres,
        long nextNumber,
        MatchSettings? settings = null,
        IReadOnlyDictionary<int, long>? certain = null
    )
    {
        ArgumentNullException.ThrowIfNull(known);
        ArgumentNullException.ThrowIfNull(found);
        ArgumentNullException.ThrowIfNull(hidden);
        if (!(plantSpacingMetres > 0))
        {
            throw new ArgumentOutOfRangeException(nameof(plantSpacingMetres), plantSpacingMetres, "Above 0.");
        }

        MatchSettings rules = settings ?? new MatchSettings();
        KnownPlant[] old = [.. known.OrderBy(plant => plant.Number)];
        int[] order =
        [
            .. Enumerable
                .Range(0, found.Count)
                .OrderBy(at => found[at].Place.NorthingMetres)
                .ThenBy(at => found[at].Place.EastingMetres),
        ];
        PlantRecord[] seen = [.. order.Select(at => found[at])];
        BlockShift shift = BlockShift
            .Of([.. old.Select(plant => plant.Place)], [.. seen.Select(plant => plant.Place)], rules.LargestShiftMetres)
            .Trusted(old.Length);
        (double east, double north, double support) = (shift.EastMetres, shift.NorthMetres, shift.Support);
        int[] rowOf = RowsAgree(old, seen, east, north, 0.5 * plantSpacingMetres);
        int[] settled = Settled(old, order, certain);
        int[] pair = Assign(old, seen, east, north, rowOf, rules.GateShare * plantSpacingMetres, settled);
        (double ratio, bool stumped) = Regrowth(old, seen, pair, rules);
        double leastArea = LeastAreaRatio(old, seen, pair, rules.ReplantedHeightShare);
        Dictionary<int, (int Old, double Off)> ofSeen = [];
        for (int at = 0; at < old.Length; at++)
        {
            if (pair[at] >= 0)
            {
                ofSeen[pair[at]] = (at, Distance(old[at].Place, seen[pair[at]].Place, east, north));
            }
        }

        MatchedPlant[] matched = new MatchedPlant[found.Count];
        List<long> gone = [];
        for (int at = 0; at < seen.Length; at++)
        {
            if (!ofSeen.TryGetValue(at, out (int Old, double Off) mate))
            {
                matched[order[at]] = new MatchedPlant(order[at], nextNumber++, PlantFate.New, null, double.NaN);
                continue;
            }

            KnownPlant before = old[mate.Old];
            if (settled[mate.Old] < 0 && IsReplanted(before, seen[at], mate.Off, ratio, leastArea, rules))
            {
                gone.Add(before.Number);
                matched[order[at]] = new MatchedPlant(
                    order[at],
                    nextNumber++,
                    PlantFate.Replanted,
                    before.Number,
                    mate.Off
                );
                continue;
            }

            bool cut = stumped || Fell(before, seen[at], rules.StumpedHeightShare);
            matched[order[at]] = new MatchedPlant(
                order[at],
                before.Number,
                cut ? PlantFate.Stumped : PlantFate.Same,
                null,
                mate.Off
            );
        }

        List<long> unseen = [];
        for (int at = 0; at < old.Length; at++)
        {
            if (pair[at] < 0)
            {
                bool covered = hidden.Any(place =>
                    Distance(old[at].Place, place.Place, east, north) < 0.6 * plantSpacingMetres
                );
                (covered ? unseen : gone).Add(old[at].Number);
            }
        }

        gone.Sort();
        return new PlantMatch(east, north, support, matched, gone, unseen, stumped);
    }

    /// <summary>Position in the ordered list of seen plants that each known plant is settled on, or −1.</summary>
    private static int[] Settled(KnownPlant[] old, int[] order, IReadOnlyDictionary<int, long>? certain)
    {
        int[] settled = new int[old.Length];
        Array.Fill(settled, -1);
        if (certain is null || certain.Count == 0)
        {
            return settled;
        }

        Dictionary<long, int> oldAt = [];
        for (int at = 0; at < old.Length; at++)
        {
            oldAt[old[at].Number] = at;
        }

        for (int at = 0; at < order.Length; at++)
        {
            if (certain.TryGetValue(order[at], out long number) && oldAt.TryGetValue(number, out int known))
            {
                settled[known] = at;
            }
        }

        return settled;
    }

    private static double Distance(GridPoint known, GridPoint seen, double east, double north)
    {
        double x = seen.EastingMetres + east - known.EastingMetres;
        double y = seen.NorthingMetres + north - known.NorthingMetres;
        return Math.Sqrt((x * x) + (y * y));
    }

    // Which known row a found row mostly continues: rows are numbered anew by every survey.
    private static int[] RowsAgree(KnownPlant[] old, PlantRecord[] seen, double east, double north, double reach)
    {
        int rows = seen.Length == 0 ? 0 : seen.Max(plant => plant.Row);
        Dictionary<(int Seen, int Old), int> votes = [];
        PlaceIndex index = new([.. old.Select(plant => plant.Place)], Math.Max(0.1, reach));
        List<int> near = [];
        foreach (PlantRecord plant in seen)
        {
            index.Within(new(plant.Place.EastingMetres + east, plant.Place.NorthingMetres + north), reach, near);
            foreach (int at in near)
            {
                votes[(plant.Row, old[at].Row)] = votes.GetValueOrDefault((plant.Row, old[at].Row)) + 1;
            }
        }

        int[] result = new int[rows + 1];
        int[] most = new int[rows + 1];
        foreach (((int row, int other), int count) in votes.OrderBy(vote => vote.Key.Old))
        {
            if (row >= 0 && row <= rows && count > most[row])
            {
                (most[row], result[row]) = (count, other);
            }
        }

        return result;
    }

    private static int[] Assign(
        KnownPlant[] old,
        PlantRecord[] seen,
        double east,
        double north,
        int[] rowOf,
        double gate,
        int[] settled
    )
    {
        HashSet<int> taken = [.. settled.Where(at => at >= 0)];
        PlaceIndex index = new(
            [
                .. seen.Select(plant => new GridPoint(
                    plant.Place.EastingMetres + east,
                    plant.Place.NorthingMetres + north
                )),
            ],
            gate
        );
        List<int> starts = [0];
        List<int> columns = [];
        List<double> costs = [];
        List<int> near = [];
        foreach (KnownPlant plant in old)
        {
            int own = settled[starts.Count - 1];
            if (own >= 0)
            {
                columns.Add(own);
                costs.Add(0);
                starts.Add(columns.Count);
                continue;
            }

            double reach = Gate(plant.Row, plant.PlaceSigmaMetres, gate);
            index.Within(plant.Place, reach, near);
            near.Sort();
            foreach (int at in near.Where(at => !taken.Contains(at)))
            {
                // Scaled so that the gate costs 1 for plants of usual uncertainty; surer places cost more for the same way.
                double off = Distance(plant.Place, seen[at].Place, east, north);
                double sigma = Math.Sqrt(
                    Square(Sure(plant.PlaceSigmaMetres)) + Square(Sure(seen[at].PlaceSigmaMetres))
                );
                double row =
                    seen[at].Row >= 0 && seen[at].Row < rowOf.Length && rowOf[seen[at].Row] == plant.Row ? 0 : 0.25;
                columns.Add(at);
                costs.Add(Square(off / reach) * (0.5 + (0.5 * Math.Min(1, 0.1 / sigma))) + row);
            }

            starts.Add(columns.Count);
        }

        int[] pair = new int[old.Length];
        SparseAssignment.Solve(seen.Length, [.. starts], [.. columns], [.. costs], 1.3, pair);
        return pair;
    }

    /// <summary>How far a plant may be found from where it is known; a single tree's top moves with what is seen of a wide crown.</summary>
    internal static double Gate(int row, double placeSigmaMetres, double usual) =>
        row > 0 || !double.IsFinite(placeSigmaMetres)
            ? usual
            : Math.Max(usual, Math.Min(ScatteredGateMetres, ScatteredGateSigmas * placeSigmaMetres));

    private static double Sure(double sigma) => double.IsFinite(sigma) ? Math.Max(LeastSigmaMetres, sigma) : 0.15;

    private static (double Ratio, bool Stumped) Regrowth(
        KnownPlant[] old,
        PlantRecord[] seen,
        int[] pair,
        MatchSettings rules
    )
    {
        List<double> ratios = [];
        for (int at = 0; at < old.Length; at++)
        {
            if (pair[at] >= 0)
            {
                double ratio = seen[pair[at]].TopHeightMetres.Value / old[at].HeightMetres;
                if (double.IsFinite(ratio))
                {
                    ratios.Add(ratio);
                }
            }
        }

        double median = ratios.Count == 0 ? 1 : Quantiles.MedianInPlace([.. ratios]);
        return (median, ratios.Count > 0 && median < rules.StumpedHeightShare);
    }

    /// <summary>
    /// Without heights: crowns narrower than this share of what they were are another plant's. Against what the block's
    /// crowns became, and by more than they scatter: where canopy closes or opens, crowns alone tell little.
    /// </summary>
    private static double LeastAreaRatio(KnownPlant[] old, PlantRecord[] seen, int[] pair, double share)
    {
        double[] logs =
        [
            .. Enumerable
                .Range(0, old.Length)
                .Where(at => pair[at] >= 0)
                .Select(at => Math.Log(seen[pair[at]].CrownAreaSquareMetres.Value / old[at].CrownAreaSquareMetres) / 2)
                .Where(double.IsFinite),
        ];
        if (logs.Length < FewCrowns)
        {
            return share;
        }

        double middle = Quantiles.Median(logs);
        double spread = 1.4826 * Quantiles.Median([.. logs.Select(log => Math.Abs(log - middle))]);
        return Math.Exp(middle) * Math.Min(share, Math.Exp(-CrownSigmas * spread));
    }

    private static bool IsReplanted(
        KnownPlant before,
        PlantRecord now,
        double off,
        double ratio,
        double leastArea,
        MatchSettings rules
    )
    {
        double sigma = Math.Sqrt(Square(Sure(before.PlaceSigmaMetres)) + Square(Sure(now.PlaceSigmaMetres)));
        if (off < Math.Max(rules.ReplantedLeastMetres, rules.ReplantedSigmas * sigma))
        {
            return false;
        }

        double height = now.TopHeightMetres.Value / (before.HeightMetres * ratio);
        double area = Math.Sqrt(now.CrownAreaSquareMetres.Value / before.CrownAreaSquareMetres);
        return double.IsFinite(height) ? height < rules.ReplantedHeightShare : area < leastArea;
    }

    private static bool Fell(KnownPlant before, PlantRecord now, double share) =>
        now.TopHeightMetres.Value / before.HeightMetres < share;

    private static double Square(double value) => value * value;
}
