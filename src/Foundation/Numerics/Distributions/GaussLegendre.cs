namespace Hillrow.Numerics.Distributions;

/// <summary>Nodes and weights of Gauss–Legendre quadrature on [−1, 1].</summary>
/// <remarks>Source: Newton's method on the Legendre recurrence (Abramowitz &amp; Stegun 25.4.29). Exact to a few ulp for up to some hundred points.</remarks>
public static class GaussLegendre
{
    /// <exception cref="ArgumentOutOfRangeException">No point asked for.</exception>
    public static (double[] Nodes, double[] Weights) Rule(int points)
    {
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(points);
        double[] nodes = new double[points];
        double[] weights = new double[points];
        for (int i = 0; i < points; i++)
        {
            double x = Math.Cos(Math.PI * (i + 0.75) / (points + 0.5));
            double slope = 1;
            for (int step = 0; step < 50; step++)
            {
                double last = 0;
                double current = 1;
                for (int degree = 1; degree <= points; degree++)
                {
                    (last, current) = (
                        current,
                        ((((2.0 * degree) - 1) * x * current) - ((degree - 1.0) * last)) / degree
                    );
                }

                slope = points * ((x * current) - last) / ((x * x) - 1);
                double change = current / slope;
                x -= change;
                if (Math.Abs(change) < 1e-16)
                {
                    break;
                }
            }

            nodes[i] = x;
            weights[i] = 2 / ((1 - (x * x)) * slope * slope);
        }

        return (nodes, weights);
    }
}
