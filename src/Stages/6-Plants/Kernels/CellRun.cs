namespace Hillrow.Plants;

/// <summary>Neighbouring cells of one row that belong to one crown: a tenth of the room of the cells themselves.</summary>
/// <param name="First">Index of the first cell in the block's window.</param>
/// <param name="Count">Cells, at least 1.</param>
/// <param name="Label">The crown.</param>
internal readonly record struct CellRun(int First, int Count, int Label)
{
    /// <param name="cells">Rising indices.</param>
    public static IReadOnlyList<CellRun> Of(IReadOnlyList<int> cells, int label)
    {
        List<CellRun> runs = [];
        int at = 0;
        while (at < cells.Count)
        {
            int first = at;
            while (at < cells.Count && cells[at] == cells[first] + at - first)
            {
                at++;
            }

            runs.Add(new CellRun(cells[first], at - first, label));
        }

        return runs;
    }

    /// <summary>Writes the label where no other crown was written before.</summary>
    public void Write(Span<int> crowns)
    {
        foreach (ref int cell in crowns.Slice(First, Count))
        {
            cell = cell == 0 ? Label : cell;
        }
    }
}
