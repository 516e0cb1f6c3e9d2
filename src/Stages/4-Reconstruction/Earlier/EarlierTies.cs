using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Reconstruction;

/// <summary>
/// Finds the spots of earlier surveys again among a survey's own tie points: by look within a circle, then by what most
/// of the finds agree on, ever nearer.
/// </summary>
/// <remarks>
/// Leaves grow and light changes, so most spots are not found again and many finds are wrong. What holds is that the
/// right ones agree on one shift, turn and scale.
/// </remarks>
internal sealed class EarlierTies
{
    /// <summary>Squared ratio of best to next best distance within the circle (0.85²).</summary>
    private const double LargestSquaredRatio = 0.72;

    /// <summary>Two landmarks this near to each other are the same spot, not rivals.</summary>
    private const double SameSpotMetres = 0.15;

    private const int LeastAgreeing = 30;

    private readonly Vector3D[] places;
    private readonly byte[] looks;
    private readonly Dictionary<(int, int), List<int>> cells = [];
    private double cellMetres;

    /// <param name="earlier">Of earlier surveys.</param>
    /// <param name="frame">Of this survey.</param>
    public EarlierTies(IReadOnlyList<Landmarks> earlier, LocalFrame frame)
    {
        int count = earlier.Sum(survey => survey.Count);
        places = new Vector3D[count];
        looks = new byte[count * PictureFeatures.DescriptorLength];
        int next = 0;
        foreach (Landmarks survey in earlier)
        {
            for (int index = 0; index < survey.Count; index++)
            {
                places[next] = frame.ToLocal(survey.Frame.ToGeodetic(survey.PlaceOf(index)));
                survey
                    .DescriptorOf(index)
                    .CopyTo(looks.AsSpan(next * PictureFeatures.DescriptorLength, PictureFeatures.DescriptorLength));
                next++;
            }
        }
    }

    /// <summary>A find: tie point and where an earlier survey has it.</summary>
    public readonly record struct Find(int Point, Vector3D Place);

    /// <summary>First look, when the surveys may lie metres apart.</summary>
    /// <param name="points">Places of the tie points.</param>
    /// <param name="lookOf">Descriptor of a tie point.</param>
    /// <param name="reachMetres">Largest distance of the surveys.</param>
    /// <returns>The move onto the earlier surveys; null when too few finds agree.</returns>
    public SimilarityMove? Agreement(Vector3D[] points, Func<int, byte[]> lookOf, double reachMetres)
    {
        List<Find> finds = Finds(points, lookOf, SimilarityMove.None, reachMetres, 1.5 * reachMetres);
        if (finds.Count < LeastAgreeing)
        {
            return null;
        }

        // The densest ball of displacements: a turn of half a degree or a scale off by a percent stay within it.
        const double Ball = 1.2;
        Vector3D[] ways = [.. finds.Select(find => find.Place - points[find.Point])];
        int best = 0;
        int most = 0;
        for (int one = 0; one < ways.Length; one++)
        {
            int near = 0;
            foreach (Vector3D way in ways)
            {
                near += (way - ways[one]).Length <= Ball ? 1 : 0;
            }

            if (near > most)
            {
                (most, best) = (near, one);
            }
        }

        // Chance finds fill the searched cylinder evenly.
        double chance = finds.Count * (4.0 / 3 * Ball * Ball * Ball) / (reachMetres * reachMetres * 3 * reachMetres);
        if (most < LeastAgreeing || most < 3 * chance)
        {
            return null;
        }

        Vector3D middle = ways[best];
        List<(Vector3D, Vector3D)> pairs =
        [
            .. finds
                .Where((_, index) => (ways[index] - middle).Length <= Ball)
                .Select(find => (points[find.Point], find.Place)),
        ];
        SimilarityMove move = SimilarityMove.Fit(pairs, SimilarityMove.None with { Shift = middle }, [0.6, 0.3, 0.15]);
        return Sharpened(points, lookOf, move);
    }

    /// <summary>Finds near to where they should be.</summary>
    /// <param name="points">Places of the tie points.</param>
    /// <param name="lookOf">Descriptor of a tie point.</param>
    /// <param name="move">Onto the earlier surveys.</param>
    /// <param name="acrossMetres">Largest miss in plan.</param>
    /// <param name="upMetres">Largest miss in height.</param>
    public List<Find> Finds(
        Vector3D[] points,
        Func<int, byte[]> lookOf,
        SimilarityMove move,
        double acrossMetres,
        double upMetres
    )
    {
        Sort(Math.Max(0.5, acrossMetres / 2));
        int[] found = new int[points.Length];
        int[] claimedBy = new int[places.Length];
        int[] claim = new int[places.Length];
        Array.Fill(claimedBy, -1);
        Array.Fill(claim, int.MaxValue);
        for (int point = 0; point < points.Length; point++)
        {
            (found[point], int distance) = Nearest(move.Of(points[point]), lookOf(point), acrossMetres, upMetres);
            if (found[point] >= 0 && distance < claim[found[point]])
            {
                (claim[found[point]], claimedBy[found[point]]) = (distance, point);
            }
        }

        List<Find> finds = [];
        for (int point = 0; point < points.Length; point++)
        {
            if (found[point] >= 0 && claimedBy[found[point]] == point)
            {
                finds.Add(new Find(point, places[found[point]]));
            }
        }

        return finds;
    }

    private SimilarityMove? Sharpened(Vector3D[] points, Func<int, byte[]> lookOf, SimilarityMove move)
    {
        foreach (
            (double across, double up, double soft) in (ReadOnlySpan<(double, double, double)>)
                [(0.8, 1.2, 0.2), (0.4, 0.6, 0.1)]
        )
        {
            List<Find> finds = Finds(points, lookOf, move, across, up);
            if (finds.Count < LeastAgreeing)
            {
                return null;
            }

            move = SimilarityMove.Fit([.. finds.Select(find => (points[find.Point], find.Place))], move, [soft, soft]);
        }

        return move;
    }

    private (int Landmark, int Distance) Nearest(Vector3D at, byte[] look, double across, double up)
    {
        int best = -1;
        int nearest = int.MaxValue;
        int next = int.MaxValue;
        int reach = (int)Math.Ceiling(across / cellMetres);
        (int column, int row) = CellOf(at);
        for (int r = row - reach; r <= row + reach; r++)
        {
            for (int c = column - reach; c <= column + reach; c++)
            {
                if (!cells.TryGetValue((c, r), out List<int>? list))
                {
                    continue;
                }

                foreach (int landmark in list)
                {
                    Vector3D way = places[landmark] - at;
                    if ((way.X * way.X) + (way.Y * way.Y) > across * across || Math.Abs(way.Z) > up)
                    {
                        continue;
                    }

                    int distance = DescriptorDistance.Squared(
                        look,
                        looks.AsSpan(landmark * PictureFeatures.DescriptorLength, PictureFeatures.DescriptorLength)
                    );
                    if (distance < nearest)
                    {
                        next = best >= 0 && (places[best] - places[landmark]).Length < SameSpotMetres ? next : nearest;
                        (nearest, best) = (distance, landmark);
                    }
                    else if (distance < next && (places[best] - places[landmark]).Length >= SameSpotMetres)
                    {
                        next = distance;
                    }
                }
            }
        }

        return best >= 0 && (next == int.MaxValue || nearest <= LargestSquaredRatio * next) ? (best, nearest) : (-1, 0);
    }

    private void Sort(double cell)
    {
        cellMetres = cell;
        cells.Clear();
        for (int index = 0; index < places.Length; index++)
        {
            (int, int) key = CellOf(places[index]);
            if (!cells.TryGetValue(key, out List<int>? list))
            {
                cells[key] = list = [];
            }

            list.Add(index);
        }
    }

    private (int Column, int Row) CellOf(Vector3D place) =>
        ((int)Math.Floor(place.X / cellMetres), (int)Math.Floor(place.Y / cellMetres));
}
