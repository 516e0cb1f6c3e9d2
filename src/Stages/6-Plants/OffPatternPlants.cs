namespace Hillrow.Plants;

/// <summary>Plants that stand clear of every row's positions: as strong as a typical plant, and canopy tops.</summary>
internal sealed class OffPatternPlants(
    FieldGrid evidence,
    IReadOnlyList<RowProfile> profiles,
    double spacing,
    BlockPositions found
)
{
    public void Add(byte[] inside)
    {
        double clear = 0.62 * spacing;
        Dictionary<(int, int), List<(double X, double Y)>> near = [];
        foreach (FoundPlant plant in found.Plants)
        {
            Put(plant.X, plant.Y);
        }

        int reach = Math.Max(1, (int)(0.3 * spacing / evidence.CellMetres));
        List<(float Strength, int Place)> tops = [];
        for (int at = 0; at < evidence.Values.Length; at++)
        {
            if (inside[at] != 0 && evidence.Values[at] > 0.75 * found.TypicalEvidence && IsTop(at, reach))
            {
                tops.Add((evidence.Values[at], at));
            }
        }

        tops.Sort(
            (a, b) => a.Strength.Equals(b.Strength) ? a.Place.CompareTo(b.Place) : b.Strength.CompareTo(a.Strength)
        );
        foreach ((float _, int place) in tops)
        {
            double x = ((place % evidence.Columns) + 0.5) * evidence.CellMetres;
            double y = ((place / evidence.Columns) + 0.5) * evidence.CellMetres;
            if (!IsNear(x, y))
            {
                found.Plants.Add(new FoundPlant(NearestRow(x, y), 0, x, y, PlantQuality.OffPattern));
                Put(x, y);
            }
        }

        void Put(double x, double y)
        {
            (int, int) key = ((int)Math.Floor(x / clear), (int)Math.Floor(y / clear));
            if (!near.TryGetValue(key, out List<(double, double)>? list))
            {
                near[key] = list = [];
            }

            list.Add((x, y));
        }

        bool IsNear(double x, double y)
        {
            (int column, int row) = ((int)Math.Floor(x / clear), (int)Math.Floor(y / clear));
            for (int r = row - 1; r <= row + 1; r++)
            {
                for (int c = column - 1; c <= column + 1; c++)
                {
                    if (
                        near.TryGetValue((c, r), out List<(double X, double Y)>? list)
                        && list.Exists(other =>
                            ((other.X - x) * (other.X - x)) + ((other.Y - y) * (other.Y - y)) < clear * clear
                        )
                    )
                    {
                        return true;
                    }
                }
            }

            return false;
        }
    }

    private bool IsTop(int at, int reach)
    {
        int row = at / evidence.Columns;
        int column = at % evidence.Columns;
        for (int r = Math.Max(0, row - reach); r <= Math.Min(evidence.Rows - 1, row + reach); r++)
        {
            for (int c = Math.Max(0, column - reach); c <= Math.Min(evidence.Columns - 1, column + reach); c++)
            {
                if (evidence.Values[(r * evidence.Columns) + c] > evidence.Values[at])
                {
                    return false;
                }
            }
        }

        return true;
    }

    private int NearestRow(double x, double y)
    {
        int best = 0;
        double least = double.PositiveInfinity;
        for (int row = 0; row < profiles.Count; row++)
        {
            foreach ((double px, double py) in profiles[row].Row.Points)
            {
                double square = ((px - x) * (px - x)) + ((py - y) * (py - y));
                if (square < least)
                {
                    least = square;
                    best = row;
                }
            }
        }

        return best + 1;
    }
}
