using Hillrow.Earth;
using Hillrow.Numerics.LeastSquares;
using Hillrow.Numerics.Statistics;

namespace Hillrow.Findings;

/// <summary>One plant's departures at two surveys.</summary>
internal readonly record struct TwiceSeen(GridPoint Place, double Before, double Now);

/// <summary>How far the edge of a patch has moved between two surveys.</summary>
/// <remarks>
/// Around the patch's middle the departure falls off as a logistic curve of the distance; steepness and middle are the
/// same at both dates, the edge (where half of the depth is reached) is each date's own. The depth is nearly the same:
/// departures are counted in each date's own healthy spread, so the same harm may be a third more or less at the other.
/// Fitted to all plants around
/// the patch, not to those called declining, with Huber's loss, so that a threshold moves nothing.
/// </remarks>
/// <param name="RadiusBeforeMetres">Of the edge at the earlier survey.</param>
/// <param name="AdvanceMetres">By how much it moved outwards.</param>
/// <param name="AdvanceSigmaMetres">One standard error.</param>
/// <param name="Days">Between the surveys.</param>
public sealed record FrontAdvance(
    double RadiusBeforeMetres,
    double AdvanceMetres,
    double AdvanceSigmaMetres,
    double Days
)
{
    private const double Normal95 = 1.959963984540054;
    private const int Unknowns = 7;
    private const int Sectors = 10;

    /// <summary>Of the logarithm of the edge's width.</summary>
    private const double WidthSpread = 0.7;

    /// <summary>Of the logarithm of the depths' ratio.</summary>
    private const double DepthSpread = 0.3;

    /// <summary>Plants of so many spreads stand out of the fit's straight part.</summary>
    private const double HuberCut = 2;

    /// <summary>Where and how deep the patch is; null for a front that was not fitted here.</summary>
    internal FrontShape? Shape { get; private init; }

    public double MetresPerDay => AdvanceMetres / Days;

    /// <summary>95 % interval of the speed.</summary>
    public Interval SpeedInterval =>
        new(
            (AdvanceMetres - (Normal95 * AdvanceSigmaMetres)) / Days,
            (AdvanceMetres + (Normal95 * AdvanceSigmaMetres)) / Days
        );

    /// <summary>
    /// Fits the edge. Its error is the larger of the fit's own and a jackknife's over sectors around the middle: plants of
    /// a patch differ more than sound ones, and neighbours alike.
    /// </summary>
    /// <param name="around">Plants in and around the patch, judged at both surveys.</param>
    /// <param name="middle">First guess of the patch's middle.</param>
    /// <param name="radiusBefore">First guess of its edge at the earlier survey, metres.</param>
    /// <param name="radiusNow">At the later one.</param>
    /// <param name="days">Above 0.</param>
    /// <returns>Null when the plants do not tell the edge at both dates.</returns>
    internal static FrontAdvance? Fit(
        IReadOnlyList<TwiceSeen> around,
        GridPoint middle,
        double radiusBefore,
        double radiusNow,
        double days
    )
    {
        if (2 * around.Count < 3 * Unknowns)
        {
            return null;
        }

        double[] start = [0, 0, radiusBefore, radiusNow - radiusBefore, 5, 0, 0];
        double[] unknowns = [.. start];
        double error = Solve(around, middle, unknowns);
        if (!(unknowns[2] > 0 && unknowns[4] > 0 && double.IsFinite(error)))
        {
            return null;
        }

        double[] advances = new double[Sectors];
        for (int sector = 0; sector < Sectors; sector++)
        {
            double[] without = [.. unknowns];
            TwiceSeen[] rest = [.. around.Where(plant => SectorOf(plant.Place, middle) != sector)];
            advances[sector] =
                2 * rest.Length >= 3 * Unknowns && double.IsFinite(Solve(rest, middle, without))
                    ? without[3]
                    : unknowns[3];
        }

        double mean = advances.Average();
        double jackknife = Math.Sqrt(
            advances.Sum(advance => (advance - mean) * (advance - mean)) * (Sectors - 1) / Sectors
        );
        return new FrontAdvance(unknowns[2], unknowns[3], Math.Max(error, jackknife), days)
        {
            Shape = new FrontShape(
                new GridPoint(middle.EastingMetres + unknowns[0], middle.NorthingMetres + unknowns[1]),
                unknowns[2],
                unknowns[2] + unknowns[3],
                unknowns[4],
                unknowns[4] * Math.Exp(unknowns[6]),
                Math.Exp(unknowns[5])
            ),
        };
    }

    private static int SectorOf(GridPoint place, GridPoint middle)
    {
        double turn = Math.Atan2(
            place.NorthingMetres - middle.NorthingMetres,
            place.EastingMetres - middle.EastingMetres
        );
        return Math.Min(Sectors - 1, (int)((turn + Math.PI) / Math.Tau * Sectors));
    }

    /// <summary>Least squares from the unknowns given; returns the advance's standard error, NaN when it is not told.</summary>
    private static double Solve(IReadOnlyList<TwiceSeen> around, GridPoint middle, double[] unknowns)
    {
        int plants = around.Count;
        // East, north of the middle; radius before; advance; depth before; logarithms of the edge's width and of the
        // depth's growth.
        bool Residuals(ReadOnlySpan<double> p, Span<double> residuals)
        {
            double width = Math.Exp(p[5]);
            double depthNow = p[4] * Math.Exp(p[6]);
            for (int at = 0; at < plants; at++)
            {
                double east = around[at].Place.EastingMetres - middle.EastingMetres - p[0];
                double north = around[at].Place.NorthingMetres - middle.NorthingMetres - p[1];
                double distance = Math.Sqrt((east * east) + (north * north));
                residuals[2 * at] = around[at].Before + (p[4] / (1 + Math.Exp((distance - p[2]) / width)));
                residuals[(2 * at) + 1] =
                    around[at].Now + (depthNow / (1 + Math.Exp((distance - p[2] - p[3]) / width)));
            }

            // A sharper edge than the plants stand apart cannot be told: about a metre, unless they say otherwise.
            residuals[2 * plants] = p[5] / WidthSpread;
            residuals[(2 * plants) + 1] = p[6] / DepthSpread;
            return true;
        }

        LevenbergMarquardtSummary summary = LevenbergMarquardt.Solve(
            Residuals,
            null,
            unknowns,
            (2 * plants) + 2,
            new LevenbergMarquardtSettings
            {
                Loss = RobustLoss.Huber(HuberCut),
                MaximumSteps = 60,
                CostTolerance = 1e-9,
            }
        );
        return summary.StandardDeviations()?[3] ?? double.NaN;
    }
}

/// <summary>The fitted patch: how much plants lack on the average by their distance from its middle.</summary>
internal sealed record FrontShape(
    GridPoint Middle,
    double RadiusBeforeMetres,
    double RadiusNowMetres,
    double DepthBefore,
    double DepthNow,
    double WidthMetres
)
{
    /// <summary>Standard deviations lacked at a place at the earlier and the later survey.</summary>
    public (double Before, double Now) At(GridPoint place)
    {
        double east = place.EastingMetres - Middle.EastingMetres;
        double north = place.NorthingMetres - Middle.NorthingMetres;
        double distance = Math.Sqrt((east * east) + (north * north));
        return (
            DepthBefore / (1 + Math.Exp((distance - RadiusBeforeMetres) / WidthMetres)),
            DepthNow / (1 + Math.Exp((distance - RadiusNowMetres) / WidthMetres))
        );
    }
}
