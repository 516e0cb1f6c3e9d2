namespace Hillrow.Plants;

/// <summary>Finds the positions of all rows of a block by their rhythm.</summary>
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

    // An empty place is known only by the planting rhythm.
    internal const double GapSigmaShare = 0.12;

    private readonly BlockPositions found = new();
    private double typical = 1;

    /// <summary>Plants, gaps and hidden places of all rows.</summary>
    public BlockPositions Choose()
    {
        typical = Typical();
        found.TypicalEvidence = typical;
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

        return found;
    }

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
                found.Plants.Add(new FoundPlant(row + 1, number, x, y, PlantQuality.Good));
                continue;
            }

            string reason = HiddenBecause(x, y);
            EmptyPosition empty = new(row + 1, number, scene.PlaceOf(x, y), GapSigmaShare * spacing, reason);
            (reason.Length > 0 ? found.Hidden : found.Gaps).Add(empty);
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
        int unmeasured = 0;
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
                unmeasured += scene.NoHeight.Length > 0 ? scene.NoHeight[at] : 0;
            }
        }

        return BlindPlace.Because(count, missing, shade, unmeasured);
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
}
