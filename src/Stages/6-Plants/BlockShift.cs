using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics.Statistics;

namespace Hillrow.Plants;

/// <summary>How far one survey of a block lies off another one.</summary>
/// <param name="EastMetres">Add to the later survey's places to bring them onto the known ones.</param>
/// <param name="NorthMetres">Likewise.</param>
/// <param name="Support">Share of the shorter list that the shift explains, 0 … 1.</param>
/// <param name="Pairs">Places that it explains: a later one with a single known one beside it.</param>
/// <remarks>
/// The peak of all pair displacements (the cross-correlation of the two point patterns): the planting pattern repeats, but
/// jitter, gaps and row ends make only the true shift sharp.
/// </remarks>
internal readonly record struct BlockShift(double EastMetres, double NorthMetres, double Support, int Pairs)
{
    private const double BinMetres = 0.05;
    private const double KernelMetres = 0.1;

    // Two patterns always meet somewhere, the more so the fewer are found: a shift counts when it explains this share of the
    // shorter list and this share of the known ones.
    private const double LeastSupport = 0.5;
    private const double LeastKnownShare = 0.4;

    /// <summary>The shift if it counts, none otherwise; support and pairs stay.</summary>
    public BlockShift Trusted(int knownPlaces) =>
        Support >= LeastSupport && Pairs >= LeastKnownShare * knownPlaces
            ? this
            : this with
            {
                EastMetres = 0,
                NorthMetres = 0,
            };

    public static BlockShift Of(GridPoint[] known, GridPoint[] seen, double largestMetres)
    {
        if (known.Length == 0 || seen.Length == 0)
        {
            return default;
        }

        PlaceIndex index = new(known, largestMetres);
        (double east, double north) = Peak(known, seen, index, largestMetres);
        int close = 0;
        List<int> near = [];
        for (int pass = 0; pass < 3; pass++)
        {
            List<double> easts = [];
            List<double> norths = [];
            foreach (GridPoint place in seen)
            {
                GridPoint moved = new(place.EastingMetres + east, place.NorthingMetres + north);
                index.Within(moved, 3 * KernelMetres, near);
                if (near.Count == 1)
                {
                    easts.Add(known[near[0]].EastingMetres - place.EastingMetres);
                    norths.Add(known[near[0]].NorthingMetres - place.NorthingMetres);
                }
            }

            close = easts.Count;
            if (close == 0)
            {
                break;
            }

            east = Quantiles.MedianInPlace([.. easts]);
            north = Quantiles.MedianInPlace([.. norths]);
        }

        return new BlockShift(east, north, (double)close / Math.Min(known.Length, seen.Length), close);
    }

    private static (double East, double North) Peak(
        GridPoint[] known,
        GridPoint[] seen,
        PlaceIndex index,
        double largest
    )
    {
        int half = (int)Math.Ceiling(largest / BinMetres);
        int side = (2 * half) + 1;
        double[] votes = new double[side * side];
        List<int> near = [];
        foreach (GridPoint place in seen)
        {
            index.Within(place, largest, near);
            foreach (int at in near)
            {
                double x = known[at].EastingMetres - place.EastingMetres;
                double y = known[at].NorthingMetres - place.NorthingMetres;
                int column = (int)Math.Round(x / BinMetres) + half;
                int row = (int)Math.Round(y / BinMetres) + half;
                if (column >= 0 && row >= 0 && column < side && row < side)
                {
                    votes[(row * side) + column]++;
                }
            }
        }

        double[] smooth = new double[votes.Length];
        GaussianFilter.Smooth<double>(votes, side, side, KernelMetres / BinMetres, Border.Nearest, smooth);
        int best = 0;
        double bestValue = double.NegativeInfinity;
        for (int at = 0; at < smooth.Length; at++)
        {
            // Of two patterns that fit as well, the smaller shift is meant.
            double x = ((at % side) - half) * BinMetres;
            double y = ((at / side) - half) * BinMetres;
            double value = smooth[at] * (1 - (0.02 * Math.Sqrt((x * x) + (y * y)) / largest));
            if (value > bestValue)
            {
                bestValue = value;
                best = at;
            }
        }

        return (((best % side) - half) * BinMetres, ((best / side) - half) * BinMetres);
    }
}
