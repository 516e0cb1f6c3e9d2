namespace Hillrow.Rehearsal;

/// <summary>True crown areas as an outline seen from straight above: a plant's own cells with the holes between leaves closed.</summary>
internal static class CrownOutline
{
    /// <summary>Holes up to twice this wide belong to the crown; wider ones are ground between its branches.</summary>
    private const double ClosingMetres = 0.15;

    /// <summary>Area by plant number; a plant that is not seen has none.</summary>
    public static IReadOnlyDictionary<int, double> Areas(ScoredMap plantNumbers)
    {
        int columns = plantNumbers.Grid.Columns;
        ReadOnlySpan<float> cells = plantNumbers.Band(0);
        Dictionary<int, List<(int Row, int Column)>> own = [];
        for (int at = 0; at < cells.Length; at++)
        {
            if (cells[at] > 0)
            {
                int number = (int)cells[at];
                if (!own.TryGetValue(number, out List<(int, int)>? list))
                {
                    own[number] = list = [];
                }

                list.Add((at / columns, at % columns));
            }
        }

        double cell = plantNumbers.Grid.CellSizeMetres;
        int reach = (int)Math.Round(ClosingMetres / cell);
        return own.ToDictionary(plant => plant.Key, plant => ClosedCells(plant.Value, reach) * cell * cell);
    }

    private static int ClosedCells(List<(int Row, int Column)> cells, int reach)
    {
        int margin = (2 * reach) + 1;
        int top = cells.Min(cell => cell.Row) - margin;
        int left = cells.Min(cell => cell.Column) - margin;
        int rows = cells.Max(cell => cell.Row) - top + margin + 1;
        int columns = cells.Max(cell => cell.Column) - left + margin + 1;
        bool[] mask = new bool[rows * columns];
        foreach ((int row, int column) in cells)
        {
            mask[((row - top) * columns) + column - left] = true;
        }

        bool[] grown = Grown(mask, rows, columns, reach);
        bool[] outside = Array.ConvertAll(grown, inside => !inside);
        return Grown(outside, rows, columns, reach).Count(inside => !inside);
    }

    /// <summary>Every cell within reach of a set one; nothing lies beyond the window.</summary>
    private static bool[] Grown(bool[] mask, int rows, int columns, int reach)
    {
        bool[] grown = new bool[mask.Length];
        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                if (!mask[(row * columns) + column])
                {
                    continue;
                }

                for (int dy = -reach; dy <= reach; dy++)
                {
                    int half = (int)Math.Sqrt((reach * reach) - (dy * dy));
                    int y = row + dy;
                    if (y < 0 || y >= rows)
                    {
                        continue;
                    }

                    int from = Math.Max(0, column - half);
                    int to = Math.Min(columns - 1, column + half);
                    Array.Fill(grown, true, (y * columns) + from, to - from + 1);
                }
            }
        }

        return grown;
    }
}
