using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Reconstruction;

/// <summary>How a survey was tied to earlier ones.</summary>
/// <param name="Spots">Spots of earlier surveys found again and agreeing; 0: not tied.</param>
/// <param name="ShiftMetres">From where the receiver alone had put this survey to where it lies now, at its middle.</param>
/// <param name="ScaleChange">Share by which its scale was changed.</param>
/// <param name="HorizontalSigmaMetres">Scatter of a single spot between the surveys, each axis.</param>
/// <param name="VerticalSigmaMetres">The same in height.</param>
public sealed record EarlierTie(
    int Spots,
    Vector3D ShiftMetres,
    double ScaleChange,
    double HorizontalSigmaMetres,
    double VerticalSigmaMetres
)
{
    public static EarlierTie None { get; } = new(0, Vector3D.Zero, 0, double.NaN, double.NaN);
}

/// <summary>Brings a survey onto earlier ones and lets their spots hold it in the adjustment.</summary>
internal static class SurveyTie
{
    private const double LeastSigmaMetres = 0.01;

    /// <summary>Fewer spots than this would hold a survey by accidents.</summary>
    private const int LeastSpots = 30;

    /// <param name="adjustment">Solved by its own pictures; moved, and its tie points given their earlier places.</param>
    /// <param name="features">Of the survey's captures.</param>
    /// <param name="earlier">Spots of earlier surveys.</param>
    /// <param name="reachMetres">Largest distance at which the surveys may lie.</param>
    /// <param name="solve">Solves the adjustment again.</param>
    public static EarlierTie Apply(
        SurveyAdjustment adjustment,
        CaptureFeatures[] features,
        EarlierTies earlier,
        double reachMetres,
        Action solve
    )
    {
        byte[][] looks =
        [
            .. adjustment.Points.Select(point => LandmarkChoice.Look(point, adjustment, features).ToArray()),
        ];
        if (earlier.Agreement(Places(adjustment), point => looks[point], reachMetres) is not { } move)
        {
            return EarlierTie.None;
        }

        adjustment.Move(move);
        EarlierTie tie = EarlierTie.None;

        // The second look stands on what the first has straightened.
        foreach ((double across, double up) in (ReadOnlySpan<(double, double)>)[(0.35, 0.5), (0.2, 0.3)])
        {
            Vector3D[] places = Places(adjustment);
            List<EarlierTies.Find> finds = earlier.Finds(
                places,
                point => looks[point],
                SimilarityMove.None,
                across,
                up
            );
            double h = Scatter(finds.SelectMany(find => Plan(find.Place - places[find.Point])));
            double v = Scatter(finds.Select(find => (find.Place - places[find.Point]).Z));
            finds.RemoveAll(find =>
            {
                Vector3D miss = find.Place - places[find.Point];
                return Math.Sqrt((miss.X * miss.X) + (miss.Y * miss.Y)) > 4 * h || Math.Abs(miss.Z) > 4 * v;
            });
            if (finds.Count < LeastSpots)
            {
                adjustment.Know(new Dictionary<int, KnownPlace>());
                return EarlierTie.None;
            }

            adjustment.Know(finds.ToDictionary(find => find.Point, find => new KnownPlace(find.Place, h, v)));
            solve();
            tie = new EarlierTie(finds.Count, move.Shift, move.Scale - 1, h, v);
        }

        return tie;
    }

    private static IEnumerable<double> Plan(Vector3D way)
    {
        yield return way.X;
        yield return way.Y;
    }

    private static Vector3D[] Places(SurveyAdjustment adjustment) =>
        [.. adjustment.Points.Select(point => point.Place)];

    /// <summary>Robust standard error about 0.</summary>
    private static double Scatter(IEnumerable<double> misses)
    {
        double[] sorted = [.. misses.Select(Math.Abs).Order()];
        return sorted.Length == 0 ? LeastSigmaMetres : Math.Max(LeastSigmaMetres, sorted[sorted.Length / 2] / 0.6745);
    }
}
