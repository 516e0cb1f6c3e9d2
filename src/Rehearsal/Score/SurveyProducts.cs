using Hillrow.Earth;

namespace Hillrow.Rehearsal;

/// <summary>A plant as the job found it; null where the job does not say.</summary>
/// <param name="Number">Its number in the estate's ledger.</param>
/// <param name="Place">In the estate's UTM zone.</param>
public sealed record FoundPlant(long Number, GridPoint Place)
{
    /// <summary>Standard error of each coordinate.</summary>
    public double? PlaceSigmaMetres { get; init; }

    public double? HeightMetres { get; init; }

    public double? HeightSigmaMetres { get; init; }

    public double? CrownAreaSquareMetres { get; init; }

    public double? CrownAreaSigmaSquareMetres { get; init; }

    /// <summary>Share of the crown's outline that is foliage.</summary>
    public double? FoliageDensity { get; init; }

    public double? FoliageDensitySigma { get; init; }

    /// <summary>Departure from its peers; negative is worse.</summary>
    public double? Departure { get; init; }

    /// <summary>The job's verdict; null: not judged.</summary>
    public bool? IsDeclining { get; init; }
}

/// <summary>What the job left of one survey, read from its public products; null where a product is missing.</summary>
/// <param name="Id">The survey's, and the flight's.</param>
public sealed record SurveyProducts(string Id)
{
    /// <summary>Bands by name, 0 … 1.</summary>
    public ScoredMap? Reflectance { get; init; }

    /// <summary>Standard error of the reflectance, the same bands.</summary>
    public ScoredMap? ReflectanceSigma { get; init; }

    /// <summary>Heights above the ellipsoid.</summary>
    public ScoredMap? Surface { get; init; }

    public ScoredMap? Ground { get; init; }

    public IReadOnlyList<FoundPlant>? Plants { get; init; }

    public IReadOnlyList<GridPoint>? Gaps { get; init; }

    /// <summary>True when plants carry verdicts.</summary>
    public bool HasFindings { get; init; }
}

/// <summary>The truth of one survey as the scorer takes it.</summary>
public sealed record SurveyTruth(
    FlightTruth Flight,
    IReadOnlyList<PlantTruth> Plants,
    IReadOnlyList<GapTruth> Gaps,
    ScoredMap Reflectance,
    ScoredMap Heights,
    ScoredMap PlantNumbers
)
{
    /// <exception cref="Hillrow.Numerics.InputProblemException">A file is missing or damaged.</exception>
    public static SurveyTruth Read(TruthFolder truth, string flightId)
    {
        ArgumentNullException.ThrowIfNull(truth);
        string folder = truth.FlightFolder(flightId);
        return new SurveyTruth(
            truth.Read<FlightTruth>(flightId + "/flight.json"),
            truth.ReadLines<PlantTruth>(flightId + "/plants.jsonl"),
            truth.ReadLines<GapTruth>(flightId + "/gaps.jsonl"),
            ScoredMap.Open(Path.Combine(folder, TruthMaps.Reflectance)),
            ScoredMap.Open(Path.Combine(folder, TruthMaps.Heights)),
            ScoredMap.Open(Path.Combine(folder, TruthMaps.Plants))
        );
    }

    /// <summary>Outline area by plant number.</summary>
    internal IReadOnlyDictionary<int, double> OutlineAreas { get; } = CrownOutline.Areas(PlantNumbers);

    /// <summary>Inside the rectangle that is judged, a distance off its edge.</summary>
    public bool IsJudged(double easting, double northing, double insideMetres = 0) =>
        easting >= Flight.SurveyedWestMetres + insideMetres
        && easting <= Flight.SurveyedEastMetres - insideMetres
        && northing >= Flight.SurveyedSouthMetres + insideMetres
        && northing <= Flight.SurveyedNorthMetres - insideMetres;
}
