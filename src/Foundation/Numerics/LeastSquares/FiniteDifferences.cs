namespace Hillrow.Numerics.LeastSquares;

/// <summary>Jacobians by central differences, for models whose derivatives are not worth writing out.</summary>
/// <remarks>
/// Step ∛ε·max(|parameter|, ∛ε) balances cutting and rounding errors (Nocedal &amp; Wright 2006, sec. 8.1): relative error
/// about 1e-10 for smooth, well-scaled models.
/// </remarks>
public static class FiniteDifferences
{
    private const double CubeRootOfEpsilon = 6.055454452393343e-6;

    /// <summary>A Jacobian function for <paramref name="residual"/>; not thread-safe (it keeps its scratch).</summary>
    public static JacobianFunction Central(ResidualFunction residual, int residualCount)
    {
        ArgumentNullException.ThrowIfNull(residual);
        double[] up = new double[residualCount];
        double[] down = new double[residualCount];
        double[] moved = [];
        return (parameters, jacobian) =>
        {
            if (moved.Length != parameters.Length)
            {
                moved = new double[parameters.Length];
            }

            parameters.CopyTo(moved);
            for (int column = 0; column < parameters.Length; column++)
            {
                double value = parameters[column];
                double step = CubeRootOfEpsilon * Math.Max(Math.Abs(value), CubeRootOfEpsilon);
                double above = value + step;
                double below = value - step;
                moved[column] = above;
                bool defined = residual(moved, up);
                moved[column] = below;
                defined &= residual(moved, down);
                moved[column] = value;
                if (!defined)
                {
                    return false;
                }

                for (int row = 0; row < residualCount; row++)
                {
                    jacobian[(row * parameters.Length) + column] = (up[row] - down[row]) / (above - below);
                }
            }

            return true;
        };
    }
}
