namespace Hillrow.Radiometry;

/// <summary>A thermal sensor's drifting zero over a flight and the pattern that its frames share, as overlaps tell them.</summary>
/// <param name="Captures">Those with a frame that was compared.</param>
/// <param name="PatternKelvin">
/// Bilinear between <see cref="NodeRows"/> × <see cref="NodeColumns"/> nodes spread evenly over the frame, the outer ones on
/// its edges; row-major; what frames show too warm.
/// </param>
/// <param name="PatternSigmaKelvin">Standard error of a node.</param>
/// <param name="LevelSigmaKelvin">Standard error of the whole flight's level: nothing in overlaps tells it.</param>
/// <param name="BeforeKelvin">What two captures disagree by about the same ground, one standard deviation of one capture.</param>
/// <param name="AfterKelvin">The same with offsets, pattern and view taken off.</param>
/// <param name="Looks">Windows compared.</param>
public sealed record ThermalDrift(
    IReadOnlyList<CaptureDrift> Captures,
    IReadOnlyList<double> PatternKelvin,
    double PatternSigmaKelvin,
    double LevelSigmaKelvin,
    double BeforeKelvin,
    double AfterKelvin,
    int Looks
)
{
    public const int NodeRows = 5;
    public const int NodeColumns = 6;
    public const int Nodes = NodeRows * NodeColumns;

    /// <summary>Weights of the four nodes around a place of the frame.</summary>
    /// <param name="rowShare">0 … 1 from the first row's outer edge.</param>
    /// <param name="columnShare">0 … 1.</param>
    /// <param name="node">Of the upper left node; the others are 1, <see cref="NodeColumns"/> and both further.</param>
    /// <param name="weights">Receives four.</param>
    internal static void WeightsAt(double rowShare, double columnShare, out int node, Span<double> weights)
    {
        double row = Math.Clamp(rowShare, 0, 1) * (NodeRows - 1);
        double column = Math.Clamp(columnShare, 0, 1) * (NodeColumns - 1);
        int r = Math.Min((int)row, NodeRows - 2);
        int c = Math.Min((int)column, NodeColumns - 2);
        double v = row - r;
        double u = column - c;
        node = (r * NodeColumns) + c;
        weights[0] = (1 - v) * (1 - u);
        weights[1] = (1 - v) * u;
        weights[2] = v * (1 - u);
        weights[3] = v * u;
    }

    /// <summary>What the pattern adds at a place of the frame.</summary>
    public double PatternAt(double rowShare, double columnShare)
    {
        Span<double> weights = stackalloc double[4];
        WeightsAt(rowShare, columnShare, out int node, weights);
        return (weights[0] * PatternKelvin[node])
            + (weights[1] * PatternKelvin[node + 1])
            + (weights[2] * PatternKelvin[node + NodeColumns])
            + (weights[3] * PatternKelvin[node + NodeColumns + 1]);
    }
}

/// <param name="CaptureId">A capture of the survey.</param>
/// <param name="OffsetKelvin">What its frame shows too warm.</param>
/// <param name="SigmaKelvin">Standard error of that against the flight's mean; the level's own is <see cref="ThermalDrift.LevelSigmaKelvin"/>.</param>
public sealed record CaptureDrift(string CaptureId, double OffsetKelvin, double SigmaKelvin);
