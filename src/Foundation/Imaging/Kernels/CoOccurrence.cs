namespace Hillrow.Imaging;

/// <summary>Texture measures of a grey-level co-occurrence matrix.</summary>
/// <param name="Contrast">Σ p (i − j)².</param>
/// <param name="Dissimilarity">Σ p |i − j|.</param>
/// <param name="Homogeneity">Σ p / (1 + (i − j)²).</param>
/// <param name="AngularSecondMoment">Σ p².</param>
/// <param name="Correlation">Of i and j; 1 when either has no spread.</param>
/// <param name="EntropyNats">−Σ p ln p.</param>
public sealed record TextureMeasures(
    double Contrast,
    double Dissimilarity,
    double Homogeneity,
    double AngularSecondMoment,
    double Correlation,
    double EntropyNats
)
{
    public double Energy => Math.Sqrt(AngularSecondMoment);
}

/// <summary>How often grey level i has grey level j at an offset.</summary>
/// <remarks>R. M. Haralick, K. Shanmugam and I. Dinstein 1973, doi 10.1109/TSMC.1973.4309314.</remarks>
public static class CoOccurrence
{
    /// <param name="levels">Rows × columns, each 0 … levelCount − 1.</param>
    /// <param name="rows">Above 0.</param>
    /// <param name="columns">Above 0.</param>
    /// <param name="levelCount">2 … 256.</param>
    /// <param name="rowOffset">Of the second pixel, downwards.</param>
    /// <param name="columnOffset">Of the second pixel, to the right.</param>
    /// <param name="symmetric">Count each pair both ways.</param>
    /// <param name="probability">Receives levelCount × levelCount shares that sum to 1; all 0 when no pair fits.</param>
    /// <exception cref="ArgumentException">Shapes differ or a level is too high.</exception>
    public static void Matrix(
        ReadOnlySpan<byte> levels,
        int rows,
        int columns,
        int levelCount,
        int rowOffset,
        int columnOffset,
        bool symmetric,
        Span<double> probability
    )
    {
        Shapes.Check(levels, rows, columns);
        if (levelCount is < 2 or > 256 || probability.Length != levelCount * levelCount)
        {
            throw new ArgumentException(
                $"{levelCount} levels need a matrix of {levelCount * levelCount} values, not {probability.Length}."
            );
        }

        probability.Clear();
        double pairs = 0;
        for (int row = Math.Max(0, -rowOffset); row < Math.Min(rows, rows - rowOffset); row++)
        {
            for (int column = Math.Max(0, -columnOffset); column < Math.Min(columns, columns - columnOffset); column++)
            {
                int first = levels[(row * columns) + column];
                int second = levels[((row + rowOffset) * columns) + column + columnOffset];
                if (first >= levelCount || second >= levelCount)
                {
                    throw new ArgumentException($"Level {Math.Max(first, second)} is not below {levelCount}.");
                }

                probability[(first * levelCount) + second]++;
                pairs++;
                if (symmetric)
                {
                    probability[(second * levelCount) + first]++;
                    pairs++;
                }
            }
        }

        for (int index = 0; index < probability.Length && pairs > 0; index++)
        {
            probability[index] /= pairs;
        }
    }

    /// <param name="probability">levelCount × levelCount shares that sum to 1.</param>
    /// <param name="levelCount">Number of levels.</param>
    public static TextureMeasures Measure(ReadOnlySpan<double> probability, int levelCount)
    {
        double contrast = 0;
        double dissimilarity = 0;
        double homogeneity = 0;
        double moment = 0;
        double entropy = 0;
        double meanI = 0;
        double meanJ = 0;
        for (int index = 0; index < probability.Length; index++)
        {
            double p = probability[index];
            (int i, int j) = (index / levelCount, index % levelCount);
            double step = i - j;
            contrast += p * step * step;
            dissimilarity += p * Math.Abs(step);
            homogeneity += p / (1 + (step * step));
            moment += p * p;
            entropy -= p > 0 ? p * Math.Log(p) : 0;
            meanI += p * i;
            meanJ += p * j;
        }

        double varianceI = 0;
        double varianceJ = 0;
        double covariance = 0;
        for (int index = 0; index < probability.Length; index++)
        {
            double i = (index / levelCount) - meanI;
            double j = (index % levelCount) - meanJ;
            varianceI += probability[index] * i * i;
            varianceJ += probability[index] * j * j;
            covariance += probability[index] * i * j;
        }

        double spread = Math.Sqrt(varianceI * varianceJ);
        return new TextureMeasures(
            contrast,
            dissimilarity,
            homogeneity,
            moment,
            spread < 1e-15 ? 1 : covariance / spread,
            entropy
        );
    }
}
