namespace Hillrow.Imaging;

/// <summary>Levenberg–Marquardt for a handful of unknowns, on a state that steps are applied to (a pose, a point).</summary>
/// <remarks>
/// For the few-unknown problems of this room; surveys are adjusted by Numerics' block solver. Source: D. W. Marquardt
/// 1963, doi 10.1137/0111030.
/// </remarks>
internal static class SmallAdjustment
{
    public delegate bool Evaluation<TState>(TState state, Span<double> residuals, Span<double> jacobian);

    public delegate TState Update<TState>(TState state, ReadOnlySpan<double> step);

    /// <param name="state">Start.</param>
    /// <param name="unknowns">Length of a step.</param>
    /// <param name="residualCount">Number of residuals.</param>
    /// <param name="evaluate">Fills residuals and their derivatives by the step (row-major); false where undefined.</param>
    /// <param name="update">Applies a step.</param>
    /// <returns>The best state and its sum of squares; infinite when the start cannot be evaluated.</returns>
    public static (TState State, double SumOfSquares) Minimise<TState>(
        TState state,
        int unknowns,
        int residualCount,
        Evaluation<TState> evaluate,
        Update<TState> update
    )
    {
        double[] residuals = new double[residualCount];
        double[] jacobian = new double[residualCount * unknowns];
        double[] trialResiduals = new double[residualCount];
        double[] trialJacobian = new double[residualCount * unknowns];
        double[] normal = new double[unknowns * unknowns];
        double[] damped = new double[unknowns * unknowns];
        double[] gradient = new double[unknowns];
        double[] step = new double[unknowns];
        if (!evaluate(state, residuals, jacobian))
        {
            return (state, double.PositiveInfinity);
        }

        double cost = SumOfSquares(residuals);
        double damping = 1e-6;
        for (int round = 0; round < 200; round++)
        {
            Normal(jacobian, residuals, unknowns, normal, gradient);
            bool better = false;
            bool still = false;
            while (!better && !still && damping < 1e12)
            {
                normal.CopyTo(damped, 0);
                for (int index = 0; index < unknowns; index++)
                {
                    damped[(index * unknowns) + index] *= 1 + damping;
                    step[index] = -gradient[index];
                }

                if (!Solve(damped, step, unknowns))
                {
                    damping = Math.Max(damping * 10, 1e-12);
                    continue;
                }

                TState trial = update(state, step);
                if (evaluate(trial, trialResiduals, trialJacobian) && SumOfSquares(trialResiduals) < cost)
                {
                    double trialCost = SumOfSquares(trialResiduals);
                    still = cost - trialCost <= 1e-15 * cost;
                    (state, cost, better) = (trial, trialCost, true);
                    (residuals, trialResiduals) = (trialResiduals, residuals);
                    (jacobian, trialJacobian) = (trialJacobian, jacobian);
                    damping = Math.Max(damping / 10, 1e-15);
                }
                else
                {
                    damping *= 10;
                }
            }

            if (!better || still)
            {
                break;
            }
        }

        return (state, cost);
    }

    private static double SumOfSquares(double[] values)
    {
        double sum = 0;
        foreach (double value in values)
        {
            sum += value * value;
        }

        return sum;
    }

    private static void Normal(double[] jacobian, double[] residuals, int unknowns, double[] normal, double[] gradient)
    {
        Array.Clear(normal);
        Array.Clear(gradient);
        for (int row = 0; row < residuals.Length; row++)
        {
            for (int i = 0; i < unknowns; i++)
            {
                double slope = jacobian[(row * unknowns) + i];
                gradient[i] += slope * residuals[row];
                for (int j = 0; j < unknowns; j++)
                {
                    normal[(i * unknowns) + j] += slope * jacobian[(row * unknowns) + j];
                }
            }
        }
    }

    /// <summary>Cholesky, in place; false when not positive definite.</summary>
    private static bool Solve(double[] matrix, double[] right, int count)
    {
        for (int i = 0; i < count; i++)
        {
            for (int j = 0; j <= i; j++)
            {
                double sum = matrix[(i * count) + j];
                for (int k = 0; k < j; k++)
                {
                    sum -= matrix[(i * count) + k] * matrix[(j * count) + k];
                }

                if (i != j)
                {
                    matrix[(i * count) + j] = sum / matrix[(j * count) + j];
                }
                else if (sum > 0)
                {
                    matrix[(i * count) + i] = Math.Sqrt(sum);
                }
                else
                {
                    return false;
                }
            }
        }

        for (int i = 0; i < count; i++)
        {
            for (int k = 0; k < i; k++)
            {
                right[i] -= matrix[(i * count) + k] * right[k];
            }

            right[i] /= matrix[(i * count) + i];
        }

        for (int i = count - 1; i >= 0; i--)
        {
            for (int k = i + 1; k < count; k++)
            {
                right[i] -= matrix[(k * count) + i] * right[k];
            }

            right[i] /= matrix[(i * count) + i];
        }

        return Array.TrueForAll(right, double.IsFinite);
    }
}
