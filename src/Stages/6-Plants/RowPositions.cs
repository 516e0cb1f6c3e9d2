namespace Hillrow.Plants;

/// <summary>Positions of all rows of a block: plants, gaps and places hidden from view.</summary>
internal sealed class RowPositions(
    BlockScene scene,
    FieldGrid evidence,
    IReadOnlyList<RowProfile> profiles,
    double spacing,
    double rowSpacing,
    PlantsSettings settings
)
{
    public const double StepMetres = 0.05;

    // From this chance on, an empty place is a young plant's. Calling a gap a plant costs as much as the reverse.
    private const double YoungChance = 0.6;

    // The middle of a young plant lies this near to where the rhythm expects it.
    private const double YoungReachShare = 0.4;

    // A plant in its first year reaches no farther.
    private const double YoungLeafMetres = 0.35;

    // An empty place is known only by the planting rhythm.
    private const double GapSigmaShare = 0.12;

    private readonly List<FoundPlant> plants = [];
    private readonly List<EmptyPosition> gaps = [];
    private readonly List<EmptyPosition> hidden = [];
    private double typical = 1;

    public IReadOnlyList<FoundPlant> Plants => plants;

    public IReadOnlyList<EmptyPosition> Gaps => gaps;

    public IReadOnlyList<EmptyPosition> Hidden => hidden;

    public void Choose()
    {
        typical = Typical();
        List<IReadOnlyList<RowSlot>> slots = [];
        foreach (RowProfile profile in profiles)
        {
            slots.Add(RowPlants.Choose(profile.Evidence, spacing / StepMetres, typical, settings.PlantEvidenceShare));
        }

        HashSet<(int, int)> planted = [];
        for (int row = 0; row < slots.Count; row++)
        {
            foreach (RowSlot slot in slots[row])
            {
                if (slot.HasPlant)
                {
                    planted.Add(KeyOf(profiles[row].Places[slot.Sample]));
                }
            }
        }

        for (int row = 0; row < slots.Count; row++)
        {
            Add(row, slots[row], planted);
        }
    }

    /// <summary>Adds plants that stand clear of every row's positions: as strong as a typical plant, and canopy tops.</summary>
    public void AddOffPattern(byte[] inside)
    {
        double clear = 0.62 * spacing;
        Dictionary<(int, int), List<(double X, double Y)>> near = [];
        foreach (FoundPlant plant in plants)
        {
            Put(plant.X, plant.Y);
        }

        int reach = Math.Max(1, (int)(0.3 * spacing / evidence.CellMetres));
        List<(float Strength, int Place)> tops = [];
        for (int at = 0; at < evidence.Values.Length; at++)
        {
            if (inside[at] != 0 && evidence.Values[at] > 0.75 * typical && IsTop(at, reach))
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
                plants.Add(new FoundPlant(NearestRow(x, y), 0, x, y, PlantQuality.OffPattern));
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

    /// <summary>Turns gaps in which a young plant stands into plants, and lets their leaves be canopy.</summary>
    public void FindYoung()
    {
        if (scene.Height is null)
        {
            return;
        }

        PlaceIndex grown = new([.. plants.Select(plant => scene.PlaceOf(plant.X, plant.Y))], 1.4 * spacing);
        List<EmptyPosition> empty = [];
        foreach (EmptyPosition gap in gaps)
        {
            double x = gap.Place.EastingMetres - scene.Grid.WestMetres;
            double y = scene.Grid.NorthMetres - gap.Place.NorthingMetres;
            if (YoungAt(x, y, grown) is { } young)
            {
                plants.Add(new FoundPlant(gap.Row, gap.PositionInRow, young.X, young.Y, PlantQuality.Small));
            }
            else
            {
                empty.Add(gap);
            }
        }

        gaps.Clear();
        gaps.AddRange(empty);
    }

    private (double X, double Y)? YoungAt(double x, double y, PlaceIndex grown)
    {
        double cell = scene.Grid.CellSizeMetres;
        int reach = (int)Math.Ceiling(((YoungReachShare * spacing) + 0.6) / cell);
        int row0 = (int)(y / cell) - reach;
        int column0 = (int)(x / cell) - reach;
        int side = (2 * reach) + 1;
        if (row0 < 0 || column0 < 0 || row0 + side > scene.Window.Rows || column0 + side > scene.Window.Columns)
        {
            return null;
        }

        List<int> near = [];
        grown.Within(scene.PlaceOf(x, y), 1.4 * spacing, near);
        (double X, double Y)[] neighbours = [.. near.Select(at => (plants[at].X, plants[at].Y))];
        float[] green = new float[side * side];
        float[] height = new float[side * side];
        byte[] allowed = new byte[side * side];
        for (int at = 0; at < green.Length; at++)
        {
            int row = row0 + (at / side);
            int column = column0 + (at % side);
            int block = (row * scene.Window.Columns) + column;
            green[at] = scene.Vegetation[block];
            height[at] = scene.Height![block];
            double px = (column + 0.5) * cell;
            double py = (row + 0.5) * cell;
            double away = Distance(px, py, x, y);
            bool mine = Array.TrueForAll(neighbours, other => away < 0.9 * Distance(px, py, other.X, other.Y));
            allowed[at] =
                mine && away < YoungReachShare * spacing && scene.Missing[block] == 0 && scene.NoHeight[block] == 0
                    ? (byte)1
                    : (byte)0;
        }

        if (
            YoungPlant.Best(green, height, allowed, side, side, cell, (y / cell) - row0, (x / cell) - column0)
                is not { } best
            || best.Chance < YoungChance
        )
        {
            return null;
        }

        Leaf(row0 + best.Row, column0 + best.Column);
        return ((column0 + best.Column + 0.5) * cell, (row0 + best.Row + 0.5) * cell);
    }

    // Leaves about a young plant's middle are below the height from which the block's canopy is told.
    private void Leaf(int middleRow, int middleColumn)
    {
        int columns = scene.Window.Columns;
        float least = (float)((scene.Vegetation[(middleRow * columns) + middleColumn] + scene.BareGreenness) / 2);
        int reach = (int)(YoungLeafMetres / scene.Grid.CellSizeMetres);
        for (int row = Math.Max(0, middleRow - reach); row <= Math.Min(scene.Window.Rows - 1, middleRow + reach); row++)
        {
            for (
                int column = Math.Max(0, middleColumn - reach);
                column <= Math.Min(columns - 1, middleColumn + reach);
                column++
            )
            {
                int away =
                    ((row - middleRow) * (row - middleRow)) + ((column - middleColumn) * (column - middleColumn));
                int at = (row * columns) + column;
                if (away <= reach * reach && scene.Missing[at] == 0 && scene.Vegetation[at] >= least)
                {
                    scene.Canopy[at] = 1;
                }
            }
        }
    }

    private static double Distance(double x, double y, double otherX, double otherY) =>
        Math.Sqrt(((x - otherX) * (x - otherX)) + ((y - otherY) * (y - otherY)));

    private double Typical()
    {
        int reach = (int)(0.4 * spacing / StepMetres);
        List<double> tops = [];
        foreach (RowProfile profile in profiles)
        {
            float[] values = profile.Evidence;
            for (int at = reach; at < values.Length - reach; at++)
            {
                bool top = values[at] > 0.15f;
                for (int near = at - reach; top && near <= at + reach; near++)
                {
                    top = values[near] < values[at] || near == at || (values[near].Equals(values[at]) && near > at);
                }

                if (top)
                {
                    tops.Add(values[at]);
                }
            }
        }

        return tops.Count == 0 ? 1 : Numerics.Statistics.Quantiles.Median([.. tops]);
    }

    private void Add(int row, IReadOnlyList<RowSlot> slots, HashSet<(int, int)> planted)
    {
        RowProfile profile = profiles[row];
        int first = 0;
        while (first < slots.Count && !slots[first].HasPlant)
        {
            first++;
        }

        int last = slots.Count - 1;
        while (last >= 0 && !slots[last].HasPlant)
        {
            last--;
        }

        if (first > last)
        {
            return;
        }

        // Empty slots at an end count only where plants stand on both sides of the row.
        while (first > 0 && HasNeighbours(profile, slots[first - 1].Sample, planted))
        {
            first--;
        }

        while (last < slots.Count - 1 && HasNeighbours(profile, slots[last + 1].Sample, planted))
        {
            last++;
        }

        for (int at = first; at <= last; at++)
        {
            (double x, double y) = profile.Places[slots[at].Sample];
            int number = at - first + 1;
            if (slots[at].HasPlant)
            {
                (x, y) = Refine(x, y);
                plants.Add(new FoundPlant(row + 1, number, x, y, PlantQuality.Good));
                continue;
            }

            string reason = HiddenBecause(x, y);
            EmptyPosition empty = new(row + 1, number, scene.PlaceOf(x, y), GapSigmaShare * spacing, reason);
            (reason.Length > 0 ? hidden : gaps).Add(empty);
        }
    }

    private (int, int) KeyOf((double X, double Y) place) =>
        ((int)Math.Floor(place.X / (0.5 * spacing)), (int)Math.Floor(place.Y / (0.5 * spacing)));

    private bool HasNeighbours(RowProfile profile, int sample, HashSet<(int, int)> planted)
    {
        (double ax, double ay) = RowOrder.Tangent(profile.Places, sample);
        (double x, double y) = profile.Places[sample];
        bool Side(int sign)
        {
            for (double off = 0.7 * rowSpacing; off <= 1.3 * rowSpacing; off += 0.2 * spacing)
            {
                for (double along = -0.5 * spacing; along <= 0.5 * spacing; along += 0.25 * spacing)
                {
                    if (
                        planted.Contains(
                            KeyOf((x - (sign * off * ay) + (along * ax), y + (sign * off * ax) + (along * ay)))
                        )
                    )
                    {
                        return true;
                    }
                }
            }

            return false;
        }

        return Side(1) && Side(-1);
    }

    private string HiddenBecause(double x, double y)
    {
        double cell = scene.Grid.CellSizeMetres;
        int reach = Math.Max(1, (int)(0.25 * spacing / cell));
        int centreRow = (int)(y / cell);
        int centreColumn = (int)(x / cell);
        int count = 0;
        int missing = 0;
        int shade = 0;
        for (int row = Math.Max(0, centreRow - reach); row <= Math.Min(scene.Window.Rows - 1, centreRow + reach); row++)
        {
            for (
                int column = Math.Max(0, centreColumn - reach);
                column <= Math.Min(scene.Window.Columns - 1, centreColumn + reach);
                column++
            )
            {
                int at = (row * scene.Window.Columns) + column;
                count++;
                missing += scene.Missing[at];
                shade += scene.Shade[at];
            }
        }

        return count == 0 || missing > 0.3 * count ? "the map has a hole here"
            : shade > 0.3 * count ? "under a shade tree"
            : "";
    }

    // Two steps of mean shift on squared evidence: towards the middle of the crown's upper part.
    private (double X, double Y) Refine(double x, double y)
    {
        double radius = 0.3 * spacing;
        (double startX, double startY) = (x, y);
        for (int pass = 0; pass < 2; pass++)
        {
            double sum = 0;
            double sumX = 0;
            double sumY = 0;
            for (double dy = -radius; dy <= radius; dy += 0.1)
            {
                for (double dx = -radius; dx <= radius; dx += 0.1)
                {
                    double value = (dx * dx) + (dy * dy) <= radius * radius ? evidence.At(x + dx, y + dy) : 0;
                    sum += value * value;
                    sumX += value * value * dx;
                    sumY += value * value * dy;
                }
            }

            if (sum <= 0)
            {
                break;
            }

            x += sumX / sum;
            y += sumY / sum;
        }

        double moved = Math.Sqrt(((x - startX) * (x - startX)) + ((y - startY) * (y - startY)));
        double most = 0.3 * spacing;
        return moved <= most
            ? (x, y)
            : (startX + ((x - startX) * most / moved), startY + ((y - startY) * most / moved));
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
