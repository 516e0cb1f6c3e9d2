using Hillrow.Numerics;

namespace Hillrow.Mapping;

/// <summary>Which capture each cell is taken from: its patch's, or, where that one does not see the cell, the next that does.</summary>
internal sealed class CellChoice
{
    /// <summary>Frames are asked cell by cell when a patch's middle is this near to their edge, beside the patch's own size.</summary>
    private const double NearEdgePixels = 64;

    private readonly PatchGrid patches;
    private readonly SurfaceGrid surface;
    private readonly IReadOnlyList<CaptureView> views;
    private readonly PatchCandidates candidates;
    private readonly MappingSettings settings;
    private readonly byte[] chosen;
    private readonly byte[]?[] mixed;
    private long cellsWithSurface;
    private long cellsMapped;
    private long cellsHidden;

    private CellChoice(
        PatchGrid patches,
        SurfaceGrid surface,
        IReadOnlyList<CaptureView> views,
        PatchCandidates candidates,
        byte[] chosen,
        MappingSettings settings
    )
    {
        this.patches = patches;
        this.surface = surface;
        this.views = views;
        this.candidates = candidates;
        this.chosen = chosen;
        this.settings = settings;
        mixed = new byte[]?[patches.Count];
    }

    public long CellsWithSurface => cellsWithSurface;

    public long CellsMapped => cellsMapped;

    public long CellsHidden => cellsHidden;

    public static CellChoice Make(
        PatchGrid patches,
        SurfaceGrid surface,
        IReadOnlyList<CaptureView> views,
        PatchCandidates candidates,
        byte[] chosen,
        MappingSettings settings,
        ParallelOptions parallel
    )
    {
        CellChoice choice = new(patches, surface, views, candidates, chosen, settings);
        Parallel.For(0, patches.Rows, parallel, choice.ChooseInRow);
        return choice;
    }

    /// <summary>The view that a patch takes all its cells from, or −1 when cells differ or there is none.</summary>
    public int WholeViewOf(int patch) =>
        chosen[patch] == PatchCandidates.None || mixed[patch] is not null
            ? -1
            : candidates.Views[(patch * candidates.Most) + chosen[patch]];

    /// <summary>Whether a cell of a patch is taken from a view.</summary>
    /// <param name="patch">Number of the patch.</param>
    /// <param name="cell">Row-major within the patch.</param>
    /// <param name="view">Position in the list of views.</param>
    public bool Takes(int patch, int cell, int view) =>
        mixed[patch] is { } cells
            ? cells[cell] != PatchCandidates.None && candidates.Views[(patch * candidates.Most) + cells[cell]] == view
            : WholeViewOf(patch) == view;

    /// <summary>For each view the patches with cells of it, ascending.</summary>
    public List<int>[] PatchesOfViews()
    {
        List<int>[] lists = new List<int>[views.Count];
        for (int view = 0; view < lists.Length; view++)
        {
            lists[view] = [];
        }

        for (int patch = 0; patch < patches.Count; patch++)
        {
            if (mixed[patch] is { } cells)
            {
                uint used = 0;
                foreach (byte cell in cells)
                {
                    used |= cell == PatchCandidates.None ? 0 : 1u << cell;
                }

                for (int at = 0; at < candidates.Counts[patch]; at++)
                {
                    if ((used & (1u << at)) != 0)
                    {
                        lists[candidates.Views[(patch * candidates.Most) + at]].Add(patch);
                    }
                }
            }
            else if (chosen[patch] != PatchCandidates.None)
            {
                lists[WholeViewOf(patch)].Add(patch);
            }
        }

        return lists;
    }

    private void ChooseInRow(int patchRow)
    {
        int size = patches.Size;
        Span<float> heights = stackalloc float[size * size];
        Span<byte> cells = stackalloc byte[size * size];
        long with = 0;
        long mapped = 0;
        long hidden = 0;
        for (int patchColumn = 0; patchColumn < patches.Columns; patchColumn++)
        {
            int patch = (patchRow * patches.Columns) + patchColumn;
            patches.HeightsOf(surface, patchRow, patchColumn, heights);
            int rows = Math.Min(size, patches.Grid.Rows - (patchRow * size));
            int columns = Math.Min(size, patches.Grid.Columns - (patchColumn * size));
            if (chosen[patch] == PatchCandidates.None)
            {
                for (int row = 0; row < rows; row++)
                {
                    for (int column = 0; column < columns; column++)
                    {
                        with += float.IsNaN(heights[(row * size) + column]) ? 0 : 1;
                    }
                }

                continue;
            }

            ChooseInPatch(patchRow, patchColumn, heights, cells);
            bool same = true;
            for (int row = 0; row < rows; row++)
            {
                for (int column = 0; column < columns; column++)
                {
                    int cell = (row * size) + column;
                    same &= cells[cell] == chosen[patch];
                    bool surfaceHere = !float.IsNaN(heights[cell]);
                    bool taken = cells[cell] != PatchCandidates.None;
                    with += surfaceHere ? 1 : 0;
                    mapped += taken ? 1 : 0;
                    hidden += surfaceHere && !taken ? 1 : 0;
                }
            }

            mixed[patch] = same ? null : cells.ToArray();
        }

        Interlocked.Add(ref cellsWithSurface, with);
        Interlocked.Add(ref cellsMapped, mapped);
        Interlocked.Add(ref cellsHidden, hidden);
    }

    private void ChooseInPatch(int patchRow, int patchColumn, ReadOnlySpan<float> heights, Span<byte> cells)
    {
        int patch = (patchRow * patches.Columns) + patchColumn;
        cells.Fill(PatchCandidates.None);
        int left = heights.Length;
        for (int rank = 0; rank < candidates.Counts[patch] && left > 0; rank++)
        {
            // The patch's own capture first, then the others from cheap to dear.
            byte at =
                rank == 0 ? chosen[patch]
                : rank <= chosen[patch] ? (byte)(rank - 1)
                : (byte)rank;
            left = Offer(patchRow, patchColumn, heights, cells, at);
        }
    }

    /// <summary>Gives a candidate the free cells it sees; returns how many with surface stay free.</summary>
    private int Offer(int patchRow, int patchColumn, ReadOnlySpan<float> heights, Span<byte> cells, byte at)
    {
        int size = patches.Size;
        int patch = (patchRow * patches.Columns) + patchColumn;
        CaptureView view = views[candidates.Views[(patch * candidates.Most) + at]];
        PatchPlace place = patches.PlaceOf(patchRow, patchColumn);
        bool nearEdge = !view.IsWellInside(
            place.At(size / 2, size / 2, candidates.CentreHeights[patch]),
            NearEdgePixels + size
        );
        int left = 0;
        for (int cell = 0; cell < cells.Length; cell++)
        {
            if (cells[cell] != PatchCandidates.None || float.IsNaN(heights[cell]))
            {
                continue;
            }

            int row = cell / size;
            int column = cell % size;
            bool sees =
                (!nearEdge || view.IsWellInside(place.At(row, column, heights[cell]), 1))
                && view.Sees(
                    surface,
                    patches.EastingOf((patchColumn * size) + column),
                    patches.NorthingOf((patchRow * size) + row),
                    heights[cell],
                    settings.SightToleranceMetres
                );
            if (sees)
            {
                cells[cell] = at;
            }
            else
            {
                left++;
            }
        }

        return left;
    }
}
