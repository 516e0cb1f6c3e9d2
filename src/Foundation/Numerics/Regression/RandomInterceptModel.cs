namespace Hillrow.Numerics.Regression;

/// <summary>A linear model with one random shift per subject.</summary>
/// <param name="SubjectDeviation">Standard deviation of the shifts.</param>
/// <param name="ResidualDeviation">Standard deviation within a subject.</param>
/// <param name="RestrictedCriterion">−2 ln restricted likelihood at the estimate.</param>
public sealed record RandomInterceptFit(
    double[] Coefficients,
    double[] StandardErrors,
    double SubjectDeviation,
    double ResidualDeviation,
    double RestrictedCriterion
);

/// <summary>Repeated measures of the same plots or plants: restricted maximum likelihood with a random intercept.</summary>
public static class RandomInterceptModel
{
    /// <summary>Fits response = design · coefficients + shift(subject) + noise.</summary>
    /// <param name="design">Rows × Columns, row-major, constant column included; full rank.</param>
    /// <param name="subjects">Subject of each row, 0-based and dense.</param>
    /// <exception cref="ArgumentException">Lengths differ, values not finite, dependent columns or too few rows.</exception>
    /// <remarks>
    /// Source: Laird &amp; Ware 1982 (doi 10.2307/2529876); the likelihood is profiled down to the variance ratio
    /// (Bates &amp; DebRoy 2004, doi 10.1016/j.jmva.2004.04.013), each subject whitened by its mean, and minimised by golden
    /// section over log ratio with zero tried apart. The search for the ratio stops at 1e-8 relative.
    /// </remarks>
    public static RandomInterceptFit Fit(
        ReadOnlySpan<double> design,
        int columns,
        ReadOnlySpan<double> response,
        ReadOnlySpan<int> subjects
    )
    {
        Finite.CheckSameLength(subjects.Length, response.Length, "subjects, response");
        Profile profile = new(design.ToArray(), columns, response.ToArray(), subjects.ToArray());
        double low = Math.Log(1e-8);
        double high = Math.Log(1e8);
        double best = low;
        double bestValue = double.PositiveInfinity;
        for (int i = 0; i <= 40; i++)
        {
            double at = low + ((high - low) * i / 40);
            double value = profile.Criterion(Math.Exp(at));
            if (value < bestValue)
            {
                (best, bestValue) = (at, value);
            }
        }

        double step = (high - low) / 40;
        double ratio = Math.Exp(Golden(profile, best - step, best + step));
        if (profile.Criterion(0) <= profile.Criterion(ratio))
        {
            ratio = 0;
        }

        return profile.Finish(ratio);
    }

    private static double Golden(Profile profile, double low, double high)
    {
        double share = (Math.Sqrt(5) - 1) / 2;
        double inner = high - (share * (high - low));
        double outer = low + (share * (high - low));
        double innerValue = profile.Criterion(Math.Exp(inner));
        double outerValue = profile.Criterion(Math.Exp(outer));
        while (high - low > 1e-8)
        {
            if (innerValue < outerValue)
            {
                high = outer;
                (outer, outerValue) = (inner, innerValue);
                inner = high - (share * (high - low));
                innerValue = profile.Criterion(Math.Exp(inner));
            }
            else
            {
                low = inner;
                (inner, innerValue) = (outer, outerValue);
                outer = low + (share * (high - low));
                outerValue = profile.Criterion(Math.Exp(outer));
            }
        }

        return (low + high) / 2;
    }

    /// <summary>The restricted likelihood as a function of the variance ratio subject / residual.</summary>
    private sealed class Profile
    {
        private readonly double[] design;
        private readonly int columns;
        private readonly double[] response;
        private readonly int[] subjects;
        private readonly int[] sizes;

        public Profile(double[] design, int columns, double[] response, int[] subjects)
        {
            LinearFit plain = LinearRegression.Fit(design, columns, response);
            if (plain.Rank < columns || plain.ResidualDegrees < 1)
            {
                throw new ArgumentException(
                    $"{response.Length} rows with a design of rank {plain.Rank} do not determine {columns} coefficients and two variances.",
                    nameof(design)
                );
            }

            this.design = design;
            this.columns = columns;
            this.response = response;
            this.subjects = subjects;
            int count = 0;
            foreach (int subject in subjects)
            {
                if (subject < 0)
                {
                    throw new ArgumentException($"A subject's number is negative: {subject}.", nameof(subjects));
                }

                count = Math.Max(count, subject + 1);
            }

            sizes = new int[count];
            foreach (int subject in subjects)
            {
                sizes[subject]++;
            }
        }

        public double Criterion(double ratio)
        {
            LinearFit fit = Whitened(ratio, out double logDeterminant);
            double variance = fit.ResidualSumOfSquares / fit.ResidualDegrees;
            return (fit.ResidualDegrees * (1 + Math.Log(2 * Math.PI * variance)))
                + logDeterminant
                - LogDeterminant(fit.InverseGram);
        }

        public RandomInterceptFit Finish(double ratio)
        {
            LinearFit fit = Whitened(ratio, out _);
            return new RandomInterceptFit(
                fit.Coefficients,
                fit.StandardErrors,
                Math.Sqrt(ratio) * fit.Sigma,
                fit.Sigma,
                Criterion(ratio)
            );
        }

        /// <summary>V^(−½) of a subject with m rows takes the share 1 − 1/sqrt(1 + m ratio) of its mean away.</summary>
        private LinearFit Whitened(double ratio, out double logDeterminant)
        {
            int width = columns + 1;
            double[] means = new double[sizes.Length * width];
            for (int row = 0; row < response.Length; row++)
            {
                int at = subjects[row] * width;
                for (int column = 0; column < columns; column++)
                {
                    means[at + column] += design[(row * columns) + column] / sizes[subjects[row]];
                }

                means[at + columns] += response[row] / sizes[subjects[row]];
            }

            logDeterminant = 0;
            foreach (int size in sizes)
            {
                logDeterminant += Distributions.Elementary.Log1P(size * ratio);
            }

            double[] whiteDesign = new double[design.Length];
            double[] whiteResponse = new double[response.Length];
            for (int row = 0; row < response.Length; row++)
            {
                double share = 1 - (1 / Math.Sqrt(1 + (sizes[subjects[row]] * ratio)));
                int at = subjects[row] * width;
                for (int column = 0; column < columns; column++)
                {
                    int place = (row * columns) + column;
                    whiteDesign[place] = design[place] - (share * means[at + column]);
                }

                whiteResponse[row] = response[row] - (share * means[at + columns]);
            }

            return LinearRegression.Fit(whiteDesign, columns, whiteResponse);
        }

        /// <summary>ln det of a symmetric positive matrix by Cholesky.</summary>
        private double LogDeterminant(double[] matrix)
        {
            double[] factor = (double[])matrix.Clone();
            double total = 0;
            for (int column = 0; column < columns; column++)
            {
                for (int row = column; row < columns; row++)
                {
                    double sum = factor[(row * columns) + column];
                    for (int k = 0; k < column; k++)
                    {
                        sum -= factor[(row * columns) + k] * factor[(column * columns) + k];
                    }

                    factor[(row * columns) + column] =
                        row == column ? Math.Sqrt(sum) : sum / factor[(column * columns) + column];
                }

                total += 2 * Math.Log(factor[(column * columns) + column]);
            }

            return total;
        }
    }
}
