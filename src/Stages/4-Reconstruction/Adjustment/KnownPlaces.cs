using Hillrow.Numerics;
using Hillrow.Numerics.LeastSquares;

namespace Hillrow.Reconstruction;

/// <summary>A place known from elsewhere: a control point, or a spot of an earlier survey.</summary>
/// <param name="Place">Local metres.</param>
/// <param name="HorizontalSigmaMetres">Standard error of east and of north.</param>
/// <param name="VerticalSigmaMetres">Standard error of up.</param>
internal sealed record KnownPlace(Vector3D Place, double HorizontalSigmaMetres, double VerticalSigmaMetres);

/// <summary>Points less where they are known to be; in standard errors.</summary>
internal sealed class KnownPlaces(IReadOnlyList<(int Point, KnownPlace Known)> places, RobustLoss loss)
    : ResidualGroup(places.Count, 3, [], usesPoint: true, loss)
{
    public override int SharedBlock(int residual, int slot) => throw new InvalidOperationException("There are none.");

    public override int Point(int residual) => places[residual].Point;

    public override bool Evaluate(
        ReadOnlySpan<int> which,
        ParameterValues parameters,
        Span<double> residuals,
        Span<double> jacobians
    )
    {
        jacobians.Clear();
        for (int place = 0; place < which.Length; place++)
        {
            (int point, KnownPlace known) = places[which[place]];
            ReadOnlySpan<double> x = parameters.Point(point);
            double h = 1 / known.HorizontalSigmaMetres;
            double v = 1 / known.VerticalSigmaMetres;
            residuals[3 * place] = h * (x[0] - known.Place.X);
            residuals[(3 * place) + 1] = h * (x[1] - known.Place.Y);
            residuals[(3 * place) + 2] = v * (x[2] - known.Place.Z);
            if (!jacobians.IsEmpty)
            {
                jacobians[9 * place] = h;
                jacobians[(9 * place) + 4] = h;
                jacobians[(9 * place) + 8] = v;
            }
        }

        return true;
    }
}
