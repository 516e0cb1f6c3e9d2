namespace Hillrow.Estate;

/// <summary>How a kind of number in the findings is reckoned.</summary>
/// <param name="Formula">In words and signs.</param>
/// <param name="Inputs">What goes in.</param>
/// <param name="Source">Author, year, DOI, or "own".</param>
public sealed record FindingFormula(string Formula, string Inputs, string Source)
{
    private const string Verdicts = "verdicts of the plants (question decline)";
    private const string BlockBook = "outlines of the block book";
    private const string Observations = "observations.gpkg";

    /// <summary>By question and quantity; a quantity of "" holds for all of the question that have none of their own.</summary>
    private static readonly Dictionary<(string Question, string Quantity), FindingFormula> Table = new()
    {
        [("decline", "")] = new(
            "weighted mean (0.35 NDRE, 0.25 NDVI, 0.20 log crown area, 0.20 foliage density) of (value − slow surface of the block) / healthy spread, standardised; interval ± 1.96 × the measures' own error; declining when the weighted Benjamini–Hochberg value ≤ 0.05 and the departure ≤ −threshold",
            $"{Observations} of the survey, plants of the same block",
            "Eilers & Marx 1996, doi 10.1214/ss/1038425655; Beaton & Tukey 1974, doi 10.1080/00401706.1974.10489171; Benjamini & Hochberg 1995, doi 10.1111/j.2517-6161.1995.tb02031.x; Genovese, Roeder & Wasserman 2006, doi 10.1093/biomet/93.3.509"
        ),
        [("estate", "plants")] = new("count of judged plants", Verdicts, "own"),
        [("estate", "declining")] = new("count of plants that are light, moderate or severe", Verdicts, "own"),
        [("estate", "share")] = new(
            "declining / judged; interval ± 1.96 √Σ (n_b · half width_b / 1.96)² / Σ n_b over the blocks",
            "shares of the blocks with their intervals",
            "own; blocks taken as independent"
        ),
        [("estate", "patches")] = new(
            "count of groups of at least four touching declining plants, larger than chance makes (p ≤ 0.05) and in a neighbourhood worse than chance (local Gi*, p ≤ 0.05)",
            Verdicts,
            "Ord & Getis 1995, doi 10.1111/j.1538-4632.1995.tb00912.x"
        ),
        [("estate", "new")] = new(
            "count of plants declining now that began to between the surveys: in a patch, sound before, fallen beyond both dates' errors; or with a chance ≥ 0.35 by their own two departures and their neighbours'",
            "verdicts of this survey and the one before",
            "own; Student t likelihood: Lange, Little & Taylor 1989, doi 10.1080/01621459.1989.10478852"
        ),
        [("estate", "recovered")] = new(
            "count of plants declining before, not now, risen beyond both dates' errors (1.645 σ)",
            "verdicts of this survey and the one before",
            "own"
        ),
        [("estate", "alone")] = new(
            "count of plants that fell as new ones did, but stand in no patch",
            "verdicts of this survey and the one before",
            "own"
        ),
        [("estate", "frontspeed")] = new(
            "mean of the patches' advances, weighted by 1/σ², per day × 30.44",
            "advances of the patches",
            "own"
        ),
        [("estate", "reach")] = new(
            "hazard ε + β Σ exp(−d/α) a day over the plants sick before, by maximum likelihood; the reach is α, its interval where twice the log likelihood falls by 3.84",
            "verdicts of this survey and the one before, places of the plants",
            "Gibson 1997, doi 10.1111/1467-9876.00061"
        ),
        [("blocks", "area")] = new("area of the outline in the estate's grid", BlockBook, "own"),
        [("blocks", "mapped")] = new(
            "share of the outline's cells that the map shows",
            $"{BlockBook}, capture.tif",
            "own"
        ),
        [("blocks", "plants")] = new("count of plants seen", Observations, "own"),
        [("blocks", "gaps")] = new("count of row positions without a plant, hidden ones left out", Observations, "own"),
        [("blocks", "declining")] = new("count of plants that are light, moderate or severe", Verdicts, "own"),
        [("blocks", "severe")] = new("count of plants with a departure ≤ −severe threshold", Verdicts, "own"),
        [("blocks", "share")] = new(
            "declining / judged; Wilson's interval with n / design effect, the design effect from clusters of 25 plants",
            Verdicts,
            "Wilson 1927, doi 10.1080/01621459.1927.10502953; Kish 1965 (from memory)"
        ),
        [("blocks", "height")] = new("mean of the plants' top heights", Observations, "own"),
        [("blocks", "trend")] = new(
            "weighted line through the log odds of decline over the surveys, half a plant added to either side",
            "shares of the block at three surveys or more",
            "Haldane 1956 (from memory)"
        ),
        [("patches", "plants")] = new("count of declining plants in the patch", Verdicts, "own"),
        [("patches", "easting")] = new("mean of the plants' eastings", Observations, "own"),
        [("patches", "northing")] = new("mean of the plants' northings", Observations, "own"),
        [("patches", "advance")] = new(
            "departure as a logistic curve of the distance from the patch's middle, each date its own edge, fitted with Huber's loss; error the larger of the fit's and a jackknife's over ten sectors",
            "departures of both surveys in and around the patch",
            "own; Huber 1964, doi 10.1214/aoms/1177703732"
        ),
        [("change", "")] = new(
            "class before and now, and whether the difference is beyond both dates' errors",
            "verdicts of this survey and the one before",
            "own"
        ),
        [("risk", "")] = new(
            "1 − exp(−days · (ε + β Σ exp(−d/α))) over the plants sick now",
            "infection model, places of the sick plants",
            "Gibson 1997, doi 10.1111/1467-9876.00061"
        ),
        [("walk", "")] = new(
            "stops in the order of a short round; legs timed at 6 exp(−3.5 |slope + 0.05|) km/h, three fifths of it off the paths",
            "verdicts, places and ground heights of the plants, tracks of flights/site.geojson",
            "Tobler 1993 (from memory); Croes 1958, doi 10.1287/opre.6.6.791"
        ),
        [("scouting", "")] = new(
            "counts of plants by what the map tells and what the scout saw; shares with Wilson's interval; thresholds: most likely given the answers and a normal prior (σ 0.75) around the default",
            "scout_answers, verdicts of the survey",
            "Wilson 1927, doi 10.1080/01621459.1927.10502953; own"
        ),
        [("quality", "")] = new(
            "as the step that measured it told it",
            "mapping and reconstruction of the survey",
            "docs/stages"
        ),
    };

    public static FindingFormula? Of(string question, string quantity) =>
        Table.GetValueOrDefault((question, quantity)) ?? Table.GetValueOrDefault((question, ""));
}
