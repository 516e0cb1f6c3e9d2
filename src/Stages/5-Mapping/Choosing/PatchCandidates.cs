using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Mapping;

/// <summary>For each patch the captures that see it best, cheapest first, with their costs.</summary>
internal sealed class PatchCandidates
{
    public const byte None = byte.MaxValue;

    /// <summary>Patches along a side of the cells in which captures are looked up.</summary>
    private const int CellPatches = 16;

    /// <summary>Cost of a patch of which half is hidden; beyond any view angle, below a missing capture.</summary>
    private const float HiddenCost = 1;

    private readonly PatchGrid patches;
    private readonly SurfaceGrid surface;
    private readonly IReadOnlyList<CaptureView> views;
    private readonly MappingSettings settings;

    private PatchCandidates(
        PatchGrid patches,
        SurfaceGrid surface,
        IReadOnlyList<CaptureView> views,
        MappingSettings settings
    )
    {
        this.patches = patches;
        this.surface = surface;
        this.views = views;
        this.settings = settings;
        Most = settings.CandidatesPerPatch;
        Counts = new byte[patches.Count];
        Views = new ushort[checked(patches.Count * Most)];
        Costs = new float[Views.Length];
        CentreHeights = new float[patches.Count];
        Reliefs = new float[patches.Count];
    }

    /// <summary>Candidates kept for a patch at most.</summary>
    public int Most { get; }

    /// <summary>Candidates of each patch.</summary>
    public byte[] Counts { get; }

    /// <summary>Patches × Most: positions in the list of views.</summary>
    public ushort[] Views { get; }

    /// <summary>Patches × Most, ascending within a patch.</summary>
    public float[] Costs { get; }

    /// <summary>Height above the ellipsoid at the patch's middle, or at another of its cells; NaN without surface.</summary>
    public float[] CentreHeights { get; }

    /// <summary>How far the surface of a patch leaves a plane, metres: low on slopes, high at a crown's edge.</summary>
    public float[] Reliefs { get; }

    public static PatchCandidates Find(
        PatchGrid patches,
        SurfaceGrid surface,
        IReadOnlyList<CaptureView> views,
        MappingSettings settings,
        ParallelOptions parallel
    )
    {
        PatchCandidates found = new(patches, surface, views, settings);
        int cellRows = (patches.Rows + CellPatches - 1) / CellPatches;
        Parallel.For(
            0,
            cellRows,
            parallel,
            () => new Scratch(views.Count),
            (cellRow, _, scratch) =>
            {
                found.FindInRow(cellRow, scratch, parallel.CancellationToken);
                return scratch;
            },
            _ => { }
        );
        return found;
    }

    private void FindInRow(int cellRow, Scratch scratch, CancellationToken cancel)
    {
        for (int column = 0; column < patches.Columns; column += CellPatches)
        {
            cancel.ThrowIfCancellationRequested();
            int rowEnd = Math.Min(patches.Rows, (cellRow + 1) * CellPatches);
            int columnEnd = Math.Min(patches.Columns, column + CellPatches);
            float lowest = float.PositiveInfinity;
            float highest = float.NegativeInfinity;
            for (int row = cellRow * CellPatches; row < rowEnd; row++)
            {
                for (int at = column; at < columnEnd; at++)
                {
                    int patch = (row * patches.Columns) + at;
                    SampleSurface(row, at, patch);
                    if (!float.IsNaN(CentreHeights[patch]))
                    {
                        lowest = MathF.Min(lowest, CentreHeights[patch]);
                        highest = MathF.Max(highest, CentreHeights[patch]);
                    }
                }
            }

            if (highest < lowest)
            {
                continue;
            }

            GatherViews(cellRow * CellPatches, rowEnd, column, columnEnd, lowest, highest, scratch);
            for (int row = cellRow * CellPatches; row < rowEnd; row++)
            {
                for (int at = column; at < columnEnd; at++)
                {
                    FindForPatch(row, at, scratch);
                }
            }
        }
    }

    private void SampleSurface(int patchRow, int patchColumn, int patch)
    {
        double half = patches.Grid.CellSizeMetres * (patches.Size - 1) / 2;
        double easting = patches.EastingOf(patchColumn * patches.Size) + half;
        double northing = patches.NorthingOf(patchRow * patches.Size) - half;
        float centre = surface.HeightAt(easting, northing);
        float a = surface.HeightAt(easting - half, northing + half);
        float b = surface.HeightAt(easting + half, northing + half);
        float c = surface.HeightAt(easting - half, northing - half);
        float d = surface.HeightAt(easting + half, northing - half);
        foreach (float other in (ReadOnlySpan<float>)[a, b, c, d])
        {
            centre = float.IsNaN(centre) ? other : centre;
        }

        CentreHeights[patch] = centre;
        float bend = MathF.Max(MathF.Abs(a + d - b - c) / 2, MathF.Abs(((a + b + c + d) / 4) - centre));
        Reliefs[patch] = float.IsNaN(bend) ? 0 : bend;
    }

    /// <summary>Views that may see some patch of a cell: inside the cone that holds every band's frame, the cell's size allowed for.</summary>
    private void GatherViews(
        int row,
        int rowEnd,
        int column,
        int columnEnd,
        float lowest,
        float highest,
        Scratch scratch
    )
    {
        double middleRow = (row + rowEnd) / 2.0 * patches.Size;
        double middleColumn = (column + columnEnd) / 2.0 * patches.Size;
        Vector3D middle = patches.ToLocal(middleRow, middleColumn, (lowest + highest) / 2.0);
        double side = Math.Max(rowEnd - row, columnEnd - column) * patches.Size * patches.Grid.CellSizeMetres;
        double radius = Math.Sqrt((side * side / 2) + ((highest - lowest) * (highest - lowest) / 4)) + 1;
        scratch.NearCount = 0;
        for (int view = 0; view < views.Count; view++)
        {
            Vector3D seen = views[view].Pose.ToCamera(middle);
            double distance = seen.Length;
            double across = Math.Sqrt((seen.X * seen.X) + (seen.Y * seen.Y));
            double angle = Math.Atan2(across, seen.Z) - Math.Asin(Math.Min(1, radius / Math.Max(distance, 1e-9)));
            if (angle <= views[view].ReachRadians)
            {
                scratch.Near[scratch.NearCount++] = (ushort)view;
            }
        }
    }

    private void FindForPatch(int patchRow, int patchColumn, Scratch scratch)
    {
        int patch = (patchRow * patches.Columns) + patchColumn;
        float height = CentreHeights[patch];
        if (float.IsNaN(height))
        {
            return;
        }

        double middleRow = (patchRow + 0.5) * patches.Size;
        double middleColumn = (patchColumn + 0.5) * patches.Size;
        Vector3D place = patches.ToLocal(middleRow, middleColumn, height);
        double half = patches.Grid.CellSizeMetres * patches.Size / 2;
        Vector3D inGrid = new(
            patches.EastingOf(patchColumn * patches.Size) + half - (patches.Grid.CellSizeMetres / 2),
            patches.NorthingOf(patchRow * patches.Size) - half + (patches.Grid.CellSizeMetres / 2),
            height
        );
        int count = 0;
        for (int at = 0; at < scratch.NearCount; at++)
        {
            CaptureView view = views[scratch.Near[at]];
            if (view.TryWeigh(place, inGrid, settings, out float cost))
            {
                scratch.Costs[count] = cost;
                scratch.Order[count++] = scratch.Near[at];
            }
        }

        // Ties fall to the earlier capture, so that the choice never depends on how the sort works.
        Span<ushort> order = scratch.Order.AsSpan(0, count);
        scratch.Costs.AsSpan(0, count).Sort(order, static (a, b) => a.CompareTo(b));
        SettleTies(scratch.Costs.AsSpan(0, count), order);
        int kept = 0;
        for (int at = 0; at < count && kept < Most; at++)
        {
            float hidden = HiddenShare(views[order[at]], inGrid, half * 0.7);
            if (hidden < 1)
            {
                Insert(patch, kept++, order[at], scratch.Costs[at] + (2 * HiddenCost * hidden));
            }
        }

        Counts[patch] = (byte)kept;
    }

    private void Insert(int patch, int kept, ushort view, float cost)
    {
        int at = (patch * Most) + kept;
        while (at > patch * Most && Costs[at - 1] > cost)
        {
            Costs[at] = Costs[at - 1];
            Views[at] = Views[at - 1];
            at--;
        }

        Costs[at] = cost;
        Views[at] = view;
    }

    private static void SettleTies(Span<float> costs, Span<ushort> order)
    {
        for (int from = 0; from < costs.Length; )
        {
            int end = from + 1;
            while (end < costs.Length && costs[end].Equals(costs[from]))
            {
                end++;
            }

            order[from..end].Sort();
            from = end;
        }
    }

    /// <summary>Share of five of the patch's places that the surface hides from a capture.</summary>
    private float HiddenShare(CaptureView view, Vector3D inGrid, double away)
    {
        int hidden = 0;
        int asked = 0;
        foreach (
            (double east, double north) in (ReadOnlySpan<(double, double)>)[(0, 0), (-1, 1), (1, 1), (-1, -1), (1, -1)]
        )
        {
            double easting = inGrid.X + (east * away);
            double northing = inGrid.Y + (north * away);
            float height = surface.HeightAt(easting, northing);
            if (!float.IsNaN(height))
            {
                asked++;
                hidden += view.Sees(surface, easting, northing, height, settings.SightToleranceMetres) ? 0 : 1;
            }
        }

        return asked == 0 ? 0 : (float)hidden / asked;
    }

    private sealed class Scratch(int views)
    {
        public ushort[] Near { get; } = new ushort[views];

        public ushort[] Order { get; } = new ushort[views];

        public float[] Costs { get; } = new float[views];

        public int NearCount { get; set; }
    }
}
