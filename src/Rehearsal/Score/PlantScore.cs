using Hillrow.Earth;
using Hillrow.Numerics.Statistics;

namespace Hillrow.Rehearsal;

/// <summary>Judges plants, gaps, measures, decline, and the plants' stated 90 % intervals.</summary>
internal static class PlantScore
{
    public static string[] PlantNames { get; } =
    [
        "plants.precision",
        "plants.recall",
        "plants.f1",
        "plants.countError",
        "plants.foundFromCrownMetres",
        "heightMetres.bias",
        "heightMetres.rmse",
        "crownArea.bias",
        "crownArea.r2",
        "coverage.place",
        "coverage.heightMetres",
        "coverage.crownArea",
        "coverage.foliageDensity",
    ];

    public static string[] GapNames { get; } = ["gaps.precision", "gaps.recall"];

    public static string[] DeclineNames { get; } = ["decline.auc", "decline.sensitivity", "decline.specificity"];

    /// <summary>True plant of each found one (null when none), for the estate's identities.</summary>
    public static IReadOnlyList<PlantTruth?>? Add(ScoreSheet sheet, SurveyProducts found, SurveyTruth truth)
    {
        double reach = truth.Flight.PlantSpacingMetres / 2;
        Gaps(sheet, found, truth, reach);
        if (found.Plants is not { } plants)
        {
            sheet.MissAll(PlantNames, "no plants were found");
            sheet.MissAll(DeclineNames, "no plants were found");
            return null;
        }

        int[] matched = PlaceMatching.Match(
            [.. plants.Select(plant => plant.Place)],
            [.. truth.Plants.Select(plant => new GridPoint(plant.EastingMetres, plant.NorthingMetres))],
            _ => reach
        );
        PlantTruth?[] real = [.. matched.Select(index => index < 0 ? null : truth.Plants[index])];
        Found(sheet, plants, real, truth);
        (FoundPlant Found, PlantTruth Real)[] pairs =
        [
            .. plants
                .Zip(real)
                .Where(pair => pair.Second is { } plant && Counts(plant, truth))
                .Select(pair => (pair.First, pair.Second!)),
        ];
        Measures(sheet, pairs, truth);
        Decline(sheet, found.HasFindings, pairs);
        return real;
    }

    /// <summary>
    /// Not judged by the plant are hedgerows, whose stems cannot be told apart from above; plants hidden below shade
    /// trees; and dead ones, which nobody blames the job for finding or leaving out.
    /// </summary>
    private static bool Counts(PlantTruth plant, SurveyTruth truth) =>
        plant.BlockKind != BlockKind.Hedgerow
        && !plant.IsDead
        && plant.SeenAreaSquareMetres >= HiddenShare * plant.CrownAreaSquareMetres
        && truth.IsJudged(plant.EastingMetres, plant.NorthingMetres);

    /// <summary>With less than this share of its crown seen from above, a plant is hidden.</summary>
    private const double HiddenShare = 0.15;

    private static void Found(ScoreSheet sheet, IReadOnlyList<FoundPlant> plants, PlantTruth?[] real, SurveyTruth truth)
    {
        double reach = truth.Flight.PlantSpacingMetres;
        PlantTruth[] hedges = [.. truth.Plants.Where(plant => plant.BlockKind == BlockKind.Hedgerow)];
        bool[] nearHedge =
        [
            .. PlaceMatching
                .Match(
                    [.. plants.Select(plant => plant.Place)],
                    [.. hedges.Select(plant => new GridPoint(plant.EastingMetres, plant.NorthingMetres))],
                    _ => 2 * reach
                )
                .Select(index => index >= 0),
        ];
        int right = 0;
        int wrong = 0;
        for (int index = 0; index < plants.Count; index++)
        {
            if (real[index] is { } plant)
            {
                right += Counts(plant, truth) ? 1 : 0;
            }
            else if (
                !nearHedge[index]
                && truth.IsJudged(plants[index].Place.EastingMetres, plants[index].Place.NorthingMetres)
            )
            {
                wrong++;
            }
        }

        int all = truth.Plants.Count(plant => Counts(plant, truth));
        double precision = right + wrong > 0 ? (double)right / (right + wrong) : double.NaN;
        double recall = all > 0 ? (double)right / all : double.NaN;
        sheet.Add("plants.precision", precision);
        sheet.Add("plants.recall", recall);
        sheet.Add("plants.f1", right > 0 ? 2 * precision * recall / (precision + recall) : 0);
        sheet.Add("plants.countError", all > 0 ? (double)(right + wrong - all) / all : double.NaN);
        HashSet<PlantTruth> met = [.. real.OfType<PlantTruth>()];
        sheet.Add(
            "plants.foundFromCrownMetres",
            SmallestFound.CrownMetres(
                truth
                    .Plants.Where(plant => Counts(plant, truth))
                    .Select(plant => (2 * Math.Sqrt(plant.CrownAreaSquareMetres / Math.PI), met.Contains(plant)))
            )
        );
    }

    private static void Gaps(ScoreSheet sheet, SurveyProducts found, SurveyTruth truth, double reach)
    {
        if (found.Gaps is not { } gaps)
        {
            sheet.MissAll(GapNames, "no gaps are told");
            return;
        }

        HashSet<string> hedges =
        [
            .. truth.Plants.Where(plant => plant.BlockKind == BlockKind.Hedgerow).Select(plant => plant.Block),
        ];
        // A gap told where a dead or hidden plant stands, or in a hedgerow, is neither right nor wrong.
        PlantTruth[] unjudged = [.. truth.Plants.Where(plant => !Counts(plant, truth))];
        int[] excused = PlaceMatching.Match(
            gaps,
            [.. unjudged.Select(plant => new GridPoint(plant.EastingMetres, plant.NorthingMetres))],
            _ => reach
        );
        GridPoint[] places = [.. truth.Gaps.Select(gap => new GridPoint(gap.EastingMetres, gap.NorthingMetres))];
        int[] matched = PlaceMatching.Match(gaps, places, _ => reach);
        bool IsJudged(int index) =>
            !hedges.Contains(truth.Gaps[index].Block)
            && truth.IsJudged(places[index].EastingMetres, places[index].NorthingMetres);
        int right = matched.Count(index => index >= 0 && IsJudged(index));
        int wrong = gaps.Where(
                (at, index) =>
                    matched[index] < 0 && excused[index] < 0 && truth.IsJudged(at.EastingMetres, at.NorthingMetres)
            )
            .Count();
        int all = Enumerable.Range(0, places.Length).Count(IsJudged);
        sheet.Add("gaps.precision", right + wrong > 0 ? (double)right / (right + wrong) : double.NaN);
        sheet.Add("gaps.recall", all > 0 ? (double)right / all : double.NaN);
    }

    private static void Measures(ScoreSheet sheet, (FoundPlant Found, PlantTruth Real)[] pairs, SurveyTruth truth)
    {
        double Outline(PlantTruth plant) => truth.OutlineAreas.GetValueOrDefault(plant.Number);
        double[] heights =
        [
            .. pairs
                .Where(pair => pair.Found.HeightMetres is not null)
                .Select(pair => pair.Found.HeightMetres!.Value - pair.Real.HeightMetres),
        ];
        sheet.Add("heightMetres.bias", heights.Length > 0 ? heights.Average() : double.NaN, "no heights are told");
        sheet.Add(
            "heightMetres.rmse",
            heights.Length > 0 ? Math.Sqrt(heights.Average(miss => miss * miss)) : double.NaN,
            "no heights are told"
        );
        (double Found, double Real)[] areas =
        [
            .. pairs
                .Where(pair => pair.Found.CrownAreaSquareMetres is not null)
                .Select(pair => (pair.Found.CrownAreaSquareMetres!.Value, Outline(pair.Real))),
        ];
        sheet.Add(
            "crownArea.bias",
            areas.Length > 0 ? (areas.Sum(area => area.Found) / areas.Sum(area => area.Real)) - 1 : double.NaN,
            "no crown areas are told"
        );
        double r =
            areas.Length > 2
                ? Correlation.Pearson([.. areas.Select(area => area.Found)], [.. areas.Select(area => area.Real)])
                : double.NaN;
        sheet.Add("crownArea.r2", r * r, "no crown areas are told");
        Coverage(
            sheet,
            "coverage.heightMetres",
            pairs.Select(pair => (pair.Found.HeightMetres - pair.Real.HeightMetres, pair.Found.HeightSigmaMetres))
        );
        Coverage(
            sheet,
            "coverage.crownArea",
            pairs.Select(pair =>
                (pair.Found.CrownAreaSquareMetres - Outline(pair.Real), pair.Found.CrownAreaSigmaSquareMetres)
            )
        );
        // Seen from above: the plant's own cells over the outline that closes them.
        Coverage(
            sheet,
            "coverage.foliageDensity",
            pairs.Select(pair =>
                (
                    pair.Found.FoliageDensity - (pair.Real.SeenAreaSquareMetres / Outline(pair.Real)),
                    pair.Found.FoliageDensitySigma
                )
            )
        );
        Coverage(
            sheet,
            "coverage.place",
            pairs.SelectMany(pair =>
                new (double?, double?)[]
                {
                    (pair.Found.Place.EastingMetres - pair.Real.EastingMetres, pair.Found.PlaceSigmaMetres),
                    (pair.Found.Place.NorthingMetres - pair.Real.NorthingMetres, pair.Found.PlaceSigmaMetres),
                }
            )
        );
    }

    private static void Coverage(ScoreSheet sheet, string name, IEnumerable<(double? Miss, double? Sigma)> stated)
    {
        bool[] inside =
        [
            .. stated
                .Where(one => one.Miss is { } miss && one.Sigma is { } sigma && double.IsFinite(miss + sigma))
                .Select(one => Math.Abs(one.Miss!.Value) <= ReflectanceScore.NinetyPercent * one.Sigma!.Value),
        ];
        sheet.Add(
            name,
            inside.Length > 0 ? (double)inside.Count(one => one) / inside.Length : double.NaN,
            "no interval is stated"
        );
    }

    private static void Decline(ScoreSheet sheet, bool hasFindings, (FoundPlant Found, PlantTruth Real)[] pairs)
    {
        if (!hasFindings)
        {
            sheet.MissAll(DeclineNames, "there are no findings");
            return;
        }

        double[] sick = Departures(true);
        double[] well = Departures(false);
        sheet.Add("decline.auc", AreaUnderCurve(sick, well), "one of the two classes is empty");
        (FoundPlant Found, PlantTruth Real)[] judged = [.. pairs.Where(pair => pair.Found.IsDeclining is not null)];
        int Count(bool said, bool real) =>
            judged.Count(pair => pair.Found.IsDeclining == said && pair.Real.IsDeclining == real);
        sheet.Add("decline.sensitivity", Share(Count(true, true), Count(false, true)), "no declining plant was judged");
        sheet.Add("decline.specificity", Share(Count(false, false), Count(true, false)), "no sound plant was judged");

        double[] Departures(bool declining) =>
            [
                .. pairs
                    .Where(pair =>
                        pair.Real.IsDeclining == declining && pair.Found.Departure is { } told && double.IsFinite(told)
                    )
                    .Select(pair => pair.Found.Departure!.Value),
            ];
    }

    /// <summary>Chance that a declining plant departs further down than a sound one; ties count half.</summary>
    internal static double AreaUnderCurve(double[] sick, double[] well)
    {
        if (sick.Length == 0 || well.Length == 0)
        {
            return double.NaN;
        }

        double[] sorted = [.. well.Order()];
        double wins = 0;
        foreach (double value in sick)
        {
            int notBelow = LowerBound(sorted, value);
            int above = LowerBound(sorted, Math.BitIncrement(value));
            wins += (sorted.Length - above) + (0.5 * (above - notBelow));
        }

        return wins / ((double)sick.Length * well.Length);
    }

    private static int LowerBound(double[] sorted, double value)
    {
        int low = 0;
        int high = sorted.Length;
        while (low < high)
        {
            int middle = (low + high) / 2;
            (low, high) = sorted[middle] < value ? (middle + 1, high) : (low, middle);
        }

        return low;
    }

    private static double Share(int yes, int no) => yes + no > 0 ? (double)yes / (yes + no) : double.NaN;
}
