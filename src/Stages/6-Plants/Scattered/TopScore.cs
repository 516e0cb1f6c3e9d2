using Hillrow.Earth;
using Hillrow.Numerics.Assignment;

namespace Hillrow.Plants;

/// <summary>Found places against marked ones: as many pairs within a distance as can be, one to one.</summary>
public sealed record TopScore(int Pairs, int Found, int True)
{
    public double F1 => Found + True == 0 ? 1 : 2.0 * Pairs / (Found + True);

    public double Precision => Found == 0 ? 1 : (double)Pairs / Found;

    public double Recall => True == 0 ? 1 : (double)Pairs / True;

    public static TopScore Of(IReadOnlyList<GridPoint> found, IReadOnlyList<GridPoint> marked, double matchMetres)
    {
        PlaceIndex index = new([.. marked], matchMetres);
        List<int> starts = [0];
        List<int> columns = [];
        List<double> costs = [];
        List<int> near = [];
        foreach (GridPoint place in found)
        {
            index.Within(place, matchMetres, near);
            near.Sort();
            foreach (int at in near)
            {
                columns.Add(at);
                // Any pair is dearer than none by far; among equals in number the nearer ones.
                costs.Add(ScatteredTops.Distance(place, marked[at]) / matchMetres);
            }

            starts.Add(columns.Count);
        }

        int[] pair = new int[found.Count];
        SparseAssignment.Solve(marked.Count, [.. starts], [.. columns], [.. costs], 1000, pair);
        return new TopScore(pair.Count(mate => mate >= 0), found.Count, marked.Count);
    }
}
