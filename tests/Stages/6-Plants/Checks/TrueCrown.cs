namespace Hillrow.Checks;

/// <summary>What a modelled crown measures, as far as it is seen from above; NaN where nothing of it is seen.</summary>
public sealed record TrueCrown(
    double TopHeightMetres,
    double UpperHeightMetres,
    double AreaSquareMetres,
    double LongMetres,
    double ShortMetres,
    double VolumeCubicMetres,
    IReadOnlyDictionary<string, double> Means
)
{
    /// <summary>Of a block that keeps its cells' owners; one for each plant.</summary>
    public static IReadOnlyList<TrueCrown> Of(ModelledBlock block)
    {
        ArgumentNullException.ThrowIfNull(block);
        List<int>[] cells = [.. block.Plants.Select(_ => new List<int>())];
        for (int at = 0; at < block.Owners.Length; at++)
        {
            if (block.Owners[at] > 0)
            {
                cells[block.Owners[at] - 1].Add(at);
            }
        }

        return [.. cells.Select((own, plant) => One(block, own, block.Plants[plant].HeightMetres))];
    }

    private static TrueCrown One(ModelledBlock block, List<int> own, double top)
    {
        double cell = block.Grid.CellSizeMetres;
        double[] heights = [.. own.Select(at => (double)block.Surface.Band(0)[at] - block.Ground.Band(0)[at])];
        Array.Sort(heights);
        (double longest, double shortest) = Axes(own, block.Grid.Columns);
        float[] red = Values(block, own, "red");
        float[] nir = Values(block, own, "nir");
        float[] edge = Values(block, own, "rededge");
        return new TrueCrown(
            top,
            own.Count == 0 ? double.NaN : Numerics.Statistics.Quantiles.QuantileOfSorted(heights, 0.9),
            own.Count * cell * cell,
            longest * cell,
            shortest * cell,
            heights.Sum() * cell * cell,
            new Dictionary<string, double>
            {
                ["red"] = Mean(red),
                ["nir"] = Mean(nir),
                ["rededge"] = Mean(edge),
                ["NDVI"] = Mean([.. nir.Zip(red, (n, r) => (n - r) / (n + r))]),
            }
        );
    }

    private static float[] Values(ModelledBlock block, List<int> own, string band)
    {
        float[] values = new float[own.Count];
        ReadOnlySpan<float> cells = block.Reflectance.Band(band);
        for (int at = 0; at < values.Length; at++)
        {
            values[at] = cells[own[at]];
        }

        return values;
    }

    private static double Mean(float[] values) =>
        values.Length == 0 ? double.NaN : values.Average(value => (double)value);

    private static (double Long, double Short) Axes(List<int> own, int columns)
    {
        if (own.Count == 0)
        {
            return (double.NaN, double.NaN);
        }

        double x = own.Average(at => at % columns);
        double y = own.Average(at => at / columns);
        double xx = own.Average(at => ((at % columns) - x) * ((at % columns) - x)) + (1 / 12.0);
        double yy = own.Average(at => ((at / columns) - y) * ((at / columns) - y)) + (1 / 12.0);
        double xy = own.Average(at => ((at % columns) - x) * ((at / columns) - y));
        double half = Math.Sqrt((0.25 * (xx - yy) * (xx - yy)) + (xy * xy));
        double middle = (xx + yy) / 2;
        return (4 * Math.Sqrt(middle + half), 4 * Math.Sqrt(Math.Max(0, middle - half)));
    }
}
