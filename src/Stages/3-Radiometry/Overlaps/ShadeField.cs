namespace Hillrow.Radiometry;

/// <summary>
/// How far passing clouds dim the ground in each capture's picture, one for all bands: logarithm of the gain that takes
/// it off in a band of usual share of skylight.
/// </summary>
/// <param name="Rows">Nodes from a frame's upper to its lower edge.</param>
/// <param name="Columns">From left to right.</param>
/// <param name="Nodes">By capture, row by row, in the frame of <paramref name="ReferenceBand"/>.</param>
/// <param name="ReferenceBand">Index.</param>
/// <param name="Slopes">By band of the frames: how much of it the band shows, before the band's own looks say better; 0 for a band without.</param>
/// <param name="Unseen">By capture and node: standard error where no other capture saw the ground, 0 where one did.</param>
/// <param name="LevelSigma">Standard error of its mean over all captures.</param>
/// <param name="OwnSigma">Of a capture's level about that mean.</param>
internal sealed record ShadeField(
    int Rows,
    int Columns,
    IReadOnlyList<double[]> Nodes,
    int ReferenceBand,
    IReadOnlyList<double> Slopes,
    IReadOnlyList<double[]> Unseen,
    double LevelSigma,
    double OwnSigma
)
{
    /// <summary>Standard error that captures of one ground share: see <see cref="StandingShade"/>.</summary>
    public double StandingSigma { get; init; }

    /// <param name="capture">Index.</param>
    /// <param name="rowShare">0 upper edge … 1 lower edge of the reference band's frame; held beyond.</param>
    /// <param name="columnShare">Likewise, from left to right.</param>
    public double At(int capture, double rowShare, double columnShare) =>
        NodePlace.At(Rows, Columns, Math.Clamp(rowShare, 0, 1), Math.Clamp(columnShare, 0, 1)).Of(Nodes[capture]);

    /// <summary>Standard error at a place, beside what captures disagree by: between nodes, where nothing was compared, and of shade that stood still.</summary>
    public double SigmaAt(int capture, double rowShare, double columnShare)
    {
        double unseen = NodePlace
            .At(Rows, Columns, Math.Clamp(rowShare, 0, 1), Math.Clamp(columnShare, 0, 1))
            .Of(Unseen[capture]);
        double bent = BentAt(capture, rowShare, columnShare);
        return Math.Sqrt((unseen * unseen) + (bent * bent) + (StandingSigma * StandingSigma));
    }

    /// <summary>What straight lines between nodes may miss there: an eighth of the change of slope from node to node.</summary>
    private double BentAt(int capture, double rowShare, double columnShare)
    {
        int row = Math.Clamp((int)Math.Round(rowShare * (Rows - 1)), 0, Rows - 1);
        int column = Math.Clamp((int)Math.Round(columnShare * (Columns - 1)), 0, Columns - 1);
        double[] nodes = Nodes[capture];
        double here = nodes[(row * Columns) + column];
        double down =
            row > 0 && row + 1 < Rows
                ? nodes[((row - 1) * Columns) + column] + nodes[((row + 1) * Columns) + column] - (2 * here)
                : 0;
        double across =
            column > 0 && column + 1 < Columns
                ? nodes[(row * Columns) + column - 1] + nodes[(row * Columns) + column + 1] - (2 * here)
                : 0;
        return Math.Sqrt((down * down) + (across * across)) / 8;
    }
}
