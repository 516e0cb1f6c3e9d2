using Hillrow.Numerics.Regression;

namespace Hillrow.Numerics.Statistics;

/// <summary>One measurement of a plot.</summary>
/// <param name="Impact">True for a treated plot.</param>
/// <param name="Plot">Unique within its group.</param>
/// <param name="After">True when measured after the treatment.</param>
public readonly record struct PlotMeasurement(bool Impact, int Plot, bool After, double Value);

/// <summary>Before–after, control–impact: did treated plots change otherwise than the controls?</summary>
public static class BeforeAfterControlImpact
{
    /// <summary>Change of impact plots less change of control plots, tested on the plots' mean changes (pooled t).</summary>
    /// <returns>Estimate: the effect in the unit of the values.</returns>
    /// <exception cref="ArgumentException">A plot lacks a period, or a group has fewer than two plots.</exception>
    /// <remarks>Source: Stewart-Oaten, Murdoch &amp; Parker 1986 (doi 10.2307/1939815), with plots as the replicates so that repeated dates are not counted as independent.</remarks>
    public static StudentTestResult OfPlots(IEnumerable<PlotMeasurement> measurements, double confidence = 0.95)
    {
        ArgumentNullException.ThrowIfNull(measurements);
        SortedDictionary<(bool, int), (RunningMoments Before, RunningMoments After)> plots = [];
        foreach (PlotMeasurement measurement in measurements)
        {
            (RunningMoments before, RunningMoments after) = plots.GetValueOrDefault(
                (measurement.Impact, measurement.Plot)
            );
            if (measurement.After)
            {
                after.Add(measurement.Value);
            }
            else
            {
                before.Add(measurement.Value);
            }

            plots[(measurement.Impact, measurement.Plot)] = (before, after);
        }

        List<double> control = [];
        List<double> impact = [];
        foreach (((bool isImpact, int plot), (RunningMoments before, RunningMoments after)) in plots)
        {
            if (before.Count == 0 || after.Count == 0)
            {
                throw new ArgumentException(
                    $"Plot {plot} ({(isImpact ? "impact" : "control")}) was not measured in both periods.",
                    nameof(measurements)
                );
            }

            (isImpact ? impact : control).Add(after.Mean - before.Mean);
        }

        return StudentTests.Pooled([.. impact], [.. control], confidence);
    }

    /// <summary>Within-subject regression: every subject has a constant of its own, taken out by its mean.</summary>
    /// <param name="design">Rows × Columns, row-major, without constants and without columns that are constant within all subjects.</param>
    /// <param name="subjects">Subject of each row, 0-based and dense.</param>
    /// <returns>Degrees of freedom allow for the subjects' constants.</returns>
    /// <remarks>Source: Frisch &amp; Waugh 1933 (doi 10.2307/1907330).</remarks>
    public static LinearFit WithinSubjects(
        ReadOnlySpan<double> design,
        int columns,
        ReadOnlySpan<double> response,
        ReadOnlySpan<int> subjects
    )
    {
        Finite.CheckSameLength(subjects.Length, response.Length, "subjects, response");
        Finite.CheckSameLength(design.Length, columns * response.Length, "design, rows × columns");
        int count = 0;
        foreach (int subject in subjects)
        {
            count = Math.Max(count, subject + 1);
        }

        int width = columns + 1;
        DoubleDouble[] means = new DoubleDouble[count * width];
        int[] sizes = new int[count];
        for (int row = 0; row < response.Length; row++)
        {
            sizes[subjects[row]]++;
            for (int column = 0; column < width; column++)
            {
                means[(subjects[row] * width) + column] +=
                    column < columns ? design[(row * columns) + column] : response[row];
            }
        }

        double[] centred = new double[design.Length];
        double[] centredResponse = new double[response.Length];
        for (int row = 0; row < response.Length; row++)
        {
            int at = subjects[row] * width;
            double size = sizes[subjects[row]];
            for (int column = 0; column < columns; column++)
            {
                centred[(row * columns) + column] = (
                    design[(row * columns) + column] - (means[at + column] / size)
                ).ToDouble();
            }

            centredResponse[row] = (response[row] - (means[at + columns] / size)).ToDouble();
        }

        LinearFit fit = LinearRegression.Fit(centred, columns, centredResponse);
        int used = sizes.Count(size => size > 0);
        double inflation = Math.Sqrt((double)fit.ResidualDegrees / (fit.ResidualDegrees - used));
        return fit with
        {
            ResidualDegrees = fit.ResidualDegrees - used,
            StandardErrors = Array.ConvertAll(fit.StandardErrors, error => error * inflation),
        };
    }
}
