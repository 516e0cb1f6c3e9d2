namespace Hillrow.Plants;

/// <summary>The planting distance in the rows, from the rhythm of the canopy along them.</summary>
internal static class PlantSpacing
{
    /// <summary>Lag of the strongest rhythm, metres; null when there is none.</summary>
    /// <param name="profiles">Same step everywhere.</param>
    /// <param name="least">Metres.</param>
    /// <param name="largest">Metres.</param>
    public static double? Find(IReadOnlyList<RowProfile> profiles, double least, double largest)
    {
        if (profiles.Count == 0)
        {
            return null;
        }

        double step = profiles[0].StepMetres;
        int lags = (int)Math.Ceiling(largest / step) + 2;
        double[] sums = new double[lags + 1];
        foreach (RowProfile profile in profiles)
        {
            float[] detail = RowPlants.Detail(profile.Evidence, Math.Max(2, 0.5 * largest / step));
            for (int lag = 0; lag <= lags; lag++)
            {
                for (int at = 0; at + lag < detail.Length; at++)
                {
                    sums[lag] += detail[at] * detail[at + lag];
                }
            }
        }

        int best = -1;
        for (int lag = Math.Max(2, (int)Math.Ceiling(least / step)); lag < lags; lag++)
        {
            bool peak = sums[lag] >= sums[lag - 1] && sums[lag] >= sums[lag + 1];

            // The double distance is as rhythmic; a later peak must be clearly stronger.
            best = peak && sums[lag] > 0 && (best < 0 || sums[lag] > 1.25 * sums[best]) ? lag : best;
        }

        if (best < 0 || sums[best] < 0.04 * sums[0])
        {
            return null;
        }

        best = Halved(sums, best, (int)Math.Ceiling(least / step));
        double bend = sums[best - 1] - (2 * sums[best]) + sums[best + 1];
        double shift = bend < 0 ? (sums[best - 1] - sums[best + 1]) / (2 * bend) : 0;
        return (best + shift) * step;
    }

    // Twice the planting distance is as rhythmic as the distance itself, and gaps or coarse cells can make it look stronger.
    private static int Halved(double[] sums, int best, int least)
    {
        for (int parts = 3; parts >= 2; parts--)
        {
            int centre = best / parts;
            int reach = Math.Max(1, best / (parts * 8));
            int top = -1;
            for (int lag = Math.Max(2, centre - reach); lag <= centre + reach; lag++)
            {
                bool peak = sums[lag] >= sums[lag - 1] && sums[lag] >= sums[lag + 1];
                top = peak && (top < 0 || sums[lag] > sums[top]) ? lag : top;
            }

            // Gaps and uneven plants lift or sink the whole curve; how far a peak stands out of its hollows does not mind.
            if (top >= least && Prominence(sums, top) > 0.5 * Prominence(sums, best))
            {
                return top;
            }
        }

        return best;
    }

    private static double Prominence(double[] sums, int peak)
    {
        double left = sums[peak];
        double right = sums[peak];
        for (int off = 1; off <= peak / 2; off++)
        {
            left = Math.Min(left, sums[peak - off]);
            right = peak + off < sums.Length ? Math.Min(right, sums[peak + off]) : right;
        }

        return sums[peak] - Math.Max(left, right);
    }
}
