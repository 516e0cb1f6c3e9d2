using Hillrow.Imaging;

namespace Hillrow.Plants;

/// <summary>How warm a plant's crown is.</summary>
/// <param name="Index">Of the plant within its block.</param>
/// <param name="Celsius">Of the crown, what its pixels show of soil taken off; the flight's level is in the standard error.</param>
/// <param name="WithinFlightSigma">Standard error against other crowns of the flight, kelvin: without what all share.</param>
public sealed record CrownTemperature(int Index, Measured Celsius, double WithinFlightSigma);

/// <summary>
/// Temperatures of crowns from a temperature map whose pixels are coarser than leaves: a cell is so much of crown and so much of
/// what lies around. By cell of a crown, T = crown + share of surroundings · excess; crown and excess by least squares, the
/// excess expected to be as in the whole block.
/// </summary>
/// <remarks>
/// Linear mixing holds for radiance; in temperature it is off by 0.1 K where soil is 20 K warmer and makes half of a cell. How much of
/// a cell is crown: crowns' cells seen through the pixel, a lens blur and the map's resampling, taken together as a square of
/// <see cref="BlurPixels"/> thermal pixels.
/// </remarks>
public static class CrownTemperatures
{
    /// <summary>
    /// Variances of a pixel (1/12), a lens blur of about a pixel each way (1/5) and bilinear resampling (1/6) add up to those of
    /// such a square; common practice, no source.
    /// </summary>
    private const double BlurPixels = 2.3;

    /// <summary>How surroundings differ from crown to crown, as a share of the block's excess, and at least, kelvin; own assumption.</summary>
    private const double ExcessSpread = 0.4;
    private const double LeastExcessSpread = 2;

    /// <summary>What a thermal pixel's worth of leaves scatters by at least, kelvin.</summary>
    private const double LeastScatter = 0.2;

    /// <param name="crowns">Plant index of every cell, 0 outside.</param>
    /// <param name="temperature">Degrees Celsius, any grid of the same reference system.</param>
    /// <param name="sigma">Its standard error, kelvin.</param>
    /// <param name="pixelMetres">Of the thermal frames on the ground.</param>
    /// <param name="levelSigmaKelvin">The part of sigma that all cells of the flight share.</param>
    /// <returns>Crowns of which something is known, by index.</returns>
    public static IReadOnlyList<CrownTemperature> Of(
        Raster<int> crowns,
        MapLayer temperature,
        MapLayer sigma,
        double pixelMetres,
        double levelSigmaKelvin
    )
    {
        ArgumentNullException.ThrowIfNull(crowns);
        ArgumentNullException.ThrowIfNull(temperature);
        ArgumentNullException.ThrowIfNull(sigma);
        int half = Math.Max(0, (int)Math.Round(((BlurPixels * pixelMetres / crowns.Grid.CellSizeMetres) - 1) / 2));
        int[] sums = Sums(crowns);
        Dictionary<int, Moments> found = [];
        const int Strip = 256;
        for (int row0 = 0; row0 < crowns.Rows; row0 += Strip)
        {
            RasterWindow window = new(row0, 0, Math.Min(Strip, crowns.Rows - row0), crowns.Columns);
            float[] celsius = temperature.ReadOn(crowns.Grid, window, 0);
            float[] sigmas = sigma.ReadOn(crowns.Grid, window, 0);
            for (int at = 0; at < celsius.Length; at++)
            {
                int cell = (row0 * crowns.Columns) + at;
                int plant = crowns.Band(0)[cell];
                if (plant <= 0 || float.IsNaN(celsius[at]) || float.IsNaN(sigmas[at]))
                {
                    continue;
                }

                if (!found.TryGetValue(plant, out Moments? moments))
                {
                    found[plant] = moments = new Moments();
                }

                moments.Add(
                    1 - ShareOf(sums, crowns, cell / crowns.Columns, cell % crowns.Columns, half),
                    celsius[at],
                    sigmas[at]
                );
            }
        }

        double cellsPerPixel = pixelMetres * pixelMetres / (crowns.Grid.CellSizeMetres * crowns.Grid.CellSizeMetres);
        double excess = Excess(found.Values);
        return
        [
            .. found
                .OrderBy(entry => entry.Key)
                .Select(entry => Of(entry.Key, entry.Value, excess, cellsPerPixel, levelSigmaKelvin)),
        ];
    }

    /// <summary>Of surroundings over crowns, all crowns together: slope within crowns.</summary>
    private static double Excess(IEnumerable<Moments> crowns)
    {
        double together = 0;
        double squares = 0;
        foreach (Moments crown in crowns)
        {
            together += crown.Count * crown.Covariance;
            squares += crown.Count * crown.ShareVariance;
        }

        return squares > 0 ? together / squares : 0;
    }

    private static CrownTemperature Of(int plant, Moments crown, double excess, double cellsPerPixel, double levelSigma)
    {
        double pixels = Math.Max(1, crown.Count / cellsPerPixel);
        double spread = Math.Max(LeastExcessSpread, ExcessSpread * Math.Abs(excess));
        double scatter = Math.Max(
            LeastScatter * LeastScatter,
            crown.Variance - (2 * excess * crown.Covariance) + (excess * excess * crown.ShareVariance)
        );
        // Two unknowns, the excess with its expectation.
        double weight = pixels / scatter;
        double prior = 1 / (spread * spread);
        double slope = ((weight * crown.Covariance) + (prior * excess)) / ((weight * crown.ShareVariance) + prior);
        double slopeVariance = 1 / ((weight * crown.ShareVariance) + prior);
        double celsius = crown.Mean - (slope * crown.Share);
        double own = (1 / weight) + (crown.Share * crown.Share * slopeVariance);
        double shared = crown.Sigma;
        double within = Math.Max(0, (shared * shared) - (levelSigma * levelSigma));
        return new CrownTemperature(
            plant,
            new Measured(celsius, Math.Sqrt((shared * shared) + own)),
            Math.Sqrt(within + own)
        );
    }

    /// <summary>Crowns' cells above and left of each corner.</summary>
    private static int[] Sums(Raster<int> crowns)
    {
        int wide = crowns.Columns + 1;
        int[] sums = new int[(crowns.Rows + 1) * wide];
        for (int row = 0; row < crowns.Rows; row++)
        {
            int sum = 0;
            for (int column = 0; column < crowns.Columns; column++)
            {
                sum += crowns[0, row, column] > 0 ? 1 : 0;
                sums[((row + 1) * wide) + column + 1] = sums[(row * wide) + column + 1] + sum;
            }
        }

        return sums;
    }

    private static double ShareOf(int[] sums, Raster<int> crowns, int row, int column, int half)
    {
        int wide = crowns.Columns + 1;
        int top = Math.Max(0, row - half);
        int bottom = Math.Min(crowns.Rows, row + half + 1);
        int left = Math.Max(0, column - half);
        int right = Math.Min(crowns.Columns, column + half + 1);
        int inside =
            sums[(bottom * wide) + right]
            - sums[(bottom * wide) + left]
            - sums[(top * wide) + right]
            + sums[(top * wide) + left];
        return inside / (double)((bottom - top) * (right - left));
    }

    /// <summary>Of a crown's cells: share of surroundings and temperature.</summary>
    private sealed class Moments
    {
        private double shares;
        private double squares;
        private double celsius;
        private double celsiusSquares;
        private double products;
        private double sigmas;

        public int Count { get; private set; }

        public double Share => shares / Count;

        public double Mean => celsius / Count;

        public double Sigma => sigmas / Count;

        public double ShareVariance => Math.Max(0, (squares / Count) - (Share * Share));

        public double Variance => Math.Max(0, (celsiusSquares / Count) - (Mean * Mean));

        public double Covariance => (products / Count) - (Share * Mean);

        public void Add(double share, double degrees, double sigma)
        {
            Count++;
            shares += share;
            squares += share * share;
            celsius += degrees;
            celsiusSquares += degrees * degrees;
            products += share * degrees;
            sigmas += sigma;
        }
    }
}
