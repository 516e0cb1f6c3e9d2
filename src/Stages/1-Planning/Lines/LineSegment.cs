namespace Hillrow.Planning;

/// <summary>A straight piece of a line, flown without a break, with captures at equal distances.</summary>
internal sealed class LineSegment
{
    public required int Field { get; init; }

    /// <summary>Number of the line in its field, from 0 on one side to the other.</summary>
    public required int Line { get; init; }

    public required SweepAxes Axes { get; init; }

    public required double Across { get; init; }

    public required Stretch Along { get; init; }

    /// <summary>Over ground.</summary>
    public double SpeedMetresPerSecond { get; set; }

    /// <summary>Distance between captures.</summary>
    public double BaseMetres { get; set; }

    public int Captures { get; set; } = 1;

    /// <summary>Number of the home it is flown from.</summary>
    public int Home { get; set; }

    /// <summary>Narrowest strip along it, on the raised ground.</summary>
    public double WidthMetres { get; set; }

    /// <summary>Shortest picture along it, on the raised ground.</summary>
    public double LengthMetres { get; set; }

    /// <summary>Camera heights at the line's stations, local up, as surveyed.</summary>
    public double[] Heights { get; init; } = [];

    /// <summary>Number of the first of <see cref="Heights"/>.</summary>
    public int FirstStation { get; init; }

    public PlanPoint Start => Axes.PlaceOf(Along.From, Across);

    public PlanPoint End => Axes.PlaceOf(Along.To, Across);

    /// <summary>Place of a capture, 0 … Captures − 1, from <see cref="Start"/>.</summary>
    public PlanPoint CaptureAt(int index) => Axes.PlaceOf(AlongAt(index), Across);

    /// <summary>Coordinate of a capture along the line.</summary>
    public double AlongAt(int index) => Captures == 1 ? (Along.From + Along.To) / 2 : Along.From + (index * BaseMetres);

    /// <summary>Camera height at a coordinate along the line, local up.</summary>
    public double UpAt(double along)
    {
        double at = (along / LineSurvey.StationMetres) - FirstStation;
        int before = Math.Clamp((int)Math.Floor(at), 0, Heights.Length - 2);
        double share = Math.Clamp(at - before, 0, 1);
        return Heights[before] + (share * (Heights[before + 1] - Heights[before]));
    }

    /// <summary>Spreads captures over the whole piece, no farther apart than allowed.</summary>
    public void SpreadCaptures(double largestBaseMetres)
    {
        int gaps = Math.Max(0, (int)Math.Ceiling((Along.Length / largestBaseMetres) - 1e-9));
        Captures = gaps + 1;
        BaseMetres = gaps == 0 ? largestBaseMetres : Along.Length / gaps;
    }
}
