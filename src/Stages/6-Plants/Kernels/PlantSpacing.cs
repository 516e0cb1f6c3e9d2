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

        double bend = sums[best - 1] - (2 * sums[best]) + sums[best + 1];
        double shift = bend < 0 ? (sums[best - 1] - sums[best + 1]) / (2 * bend) : 0;
        return (best + shift) * step;
    }
}
