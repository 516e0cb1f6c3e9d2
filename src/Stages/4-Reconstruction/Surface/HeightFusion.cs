using Hillrow.Earth;
using Hillrow.Numerics;

namespace Hillrow.Reconstruction;

/// <summary>One capture's view with its heights, and which of them other captures confirm.</summary>
internal sealed record MeasuredView(LevelView View, float[] Heights, int[] Partners);

/// <summary>Brings the heights of all captures into one map grid.</summary>
internal sealed class HeightFusion
{
    private const int RowsPerStrip = 64;

    /// <summary>Samples within this distance belong to one surface: about two standard errors.</summary>
    private const float SurfaceThicknessMetres = 0.35f;

    private readonly MeasuredView?[] views;
    private readonly GridGeometry grid;
    private readonly MapLattice map;
    private readonly double toleranceMetres;

    /// <param name="views">By capture; null where none.</param>
    /// <param name="grid">Of the surface.</param>
    /// <param name="frame">Of the views.</param>
    /// <param name="nominalHeightMetres">Ellipsoidal height near the ground.</param>
    /// <param name="toleranceMetres">Heights of two captures that agree to this confirm each other.</param>
    public HeightFusion(
        MeasuredView?[] views,
        GridGeometry grid,
        LocalFrame frame,
        double nominalHeightMetres,
        double toleranceMetres
    )
    {
        this.views = views;
        this.grid = grid;
        this.toleranceMetres = toleranceMetres;
        map = new MapLattice(grid, frame, nominalHeightMetres);
    }

    /// <param name="threads">The result does not depend on it.</param>
    /// <param name="cancel">Stops between strips.</param>
    /// <returns>Ellipsoidal heights (NaN: none) and confirmed samples of each cell, up to 255.</returns>
    public (float[] Heights, byte[] Samples) Fuse(int threads, CancellationToken cancel)
    {
        float[] heights = new float[grid.CellCount];
        byte[] samples = new byte[grid.CellCount];
        Array.Fill(heights, float.NaN);
        ParallelOptions options = new() { MaxDegreeOfParallelism = threads, CancellationToken = cancel };
        List<Sample>[] byView = new List<Sample>[views.Length];
        Parallel.For(0, views.Length, options, index => byView[index] = Confirmed(index));
        int strips = (grid.Rows + RowsPerStrip - 1) / RowsPerStrip;
        Parallel.For(0, strips, options, strip => FuseStrip(strip, byView, heights, samples));
        return (heights, samples);
    }

    private void FuseStrip(int strip, List<Sample>[] byView, float[] heights, byte[] samples)
    {
        int first = strip * RowsPerStrip * grid.Columns;
        int end = Math.Min(heights.Length, first + (RowsPerStrip * grid.Columns));
        int[] starts = new int[end - first + 1];
        foreach (List<Sample> list in byView)
        {
            foreach (Sample sample in Within(list, first, end))
            {
                starts[sample.Cell - first + 1]++;
            }
        }

        for (int at = 1; at < starts.Length; at++)
        {
            starts[at] += starts[at - 1];
        }

        float[] values = new float[starts[^1]];
        int[] next = starts[..^1];
        foreach (List<Sample> list in byView)
        {
            foreach (Sample sample in Within(list, first, end))
            {
                values[next[sample.Cell - first]++] = sample.Height;
            }
        }

        for (int cell = first; cell < end; cell++)
        {
            Span<float> found = values.AsSpan(starts[cell - first], starts[cell - first + 1] - starts[cell - first]);
            if (found.Length > 0)
            {
                (heights[cell], samples[cell]) = HighestSurface(found);
            }
        }
    }

    private static ReadOnlySpan<Sample> Within(List<Sample> sorted, int first, int end)
    {
        ReadOnlySpan<Sample> all = System.Runtime.InteropServices.CollectionsMarshal.AsSpan(sorted);
        return all[LowerBound(all, first)..LowerBound(all, end)];
    }

    private static int LowerBound(ReadOnlySpan<Sample> sorted, int cell)
    {
        int low = 0;
        int high = sorted.Length;
        while (low < high)
        {
            int middle = (low + high) / 2;
            if (sorted[middle].Cell < cell)
            {
                low = middle + 1;
            }
            else
            {
                high = middle;
            }
        }

        return low;
    }

    /// <summary>Median of the highest cluster that holds a fair share of the samples.</summary>
    private static (float Height, byte Count) HighestSurface(Span<float> values)
    {
        values.Sort();
        int least = Math.Max(1, values.Length / 3);
        int end = values.Length;
        while (end > 0)
        {
            int start = end - 1;
            while (start > 0 && values[end - 1] - values[start - 1] <= SurfaceThicknessMetres)
            {
                start--;
            }

            if (end - start >= least)
            {
                Span<float> cluster = values[start..end];
                float median =
                    (cluster.Length & 1) == 1
                        ? cluster[cluster.Length / 2]
                        : (cluster[(cluster.Length / 2) - 1] + cluster[cluster.Length / 2]) / 2;
                return (median, (byte)Math.Min(255, cluster.Length));
            }

            end--;
        }

        return (values[values.Length / 2], 1);
    }

    /// <summary>Samples of one capture that at least one partner confirms, sorted by cell.</summary>
    private List<Sample> Confirmed(int index)
    {
        List<Sample> samples = [];
        if (views[index] is not { } measured)
        {
            return samples;
        }

        LevelView view = measured.View;
        Vector3D centre = view.Pose.CentreLocalMetres;
        MeasuredView[] partners = [.. measured.Partners.Select(partner => views[partner]).OfType<MeasuredView>()];
        for (int row = 0; row < view.Rows; row++)
        {
            for (int column = 0; column < view.Columns; column++)
            {
                float height = measured.Heights[(row * view.Columns) + column];
                if (float.IsNaN(height))
                {
                    continue;
                }

                Vector3D place = centre + (view.FallingRay(column + 0.5, row + 0.5) * (centre.Z - height));
                if (!IsConfirmed(partners, place))
                {
                    continue;
                }

                (double mapRow, double mapColumn, double mapHeight) = map.ToMap(place);
                if (mapRow >= 0 && mapColumn >= 0 && mapRow < grid.Rows && mapColumn < grid.Columns)
                {
                    samples.Add(new Sample(((int)mapRow * grid.Columns) + (int)mapColumn, (float)mapHeight));
                }
            }
        }

        samples.Sort((a, b) => a.Cell != b.Cell ? a.Cell.CompareTo(b.Cell) : a.Height.CompareTo(b.Height));
        return samples;
    }

    private bool IsConfirmed(MeasuredView[] partners, Vector3D place)
    {
        foreach (MeasuredView partner in partners)
        {
            if (
                partner.View.TryProject(place, out double column, out double row)
                && column >= 0
                && row >= 0
                && column < partner.View.Columns
                && row < partner.View.Rows
                && Math.Abs(partner.Heights[((int)row * partner.View.Columns) + (int)column] - place.Z)
                    <= toleranceMetres
            )
            {
                return true;
            }
        }

        return false;
    }

    private readonly record struct Sample(int Cell, float Height);
}
