using Hillrow.Earth;

namespace Hillrow.Rehearsal;

/// <summary>Shift of a map against the truth, window by window.</summary>
/// <param name="Shifts">By window: to the east and to the north in cells of the map; null where it cannot be told.</param>
/// <param name="Middles">By window: map place of its middle, for pairing with another map's windows.</param>
/// <param name="CellMetres">Of the map.</param>
internal sealed record ShiftField(
    IReadOnlyList<(double East, double North)?> Shifts,
    IReadOnlyList<GridPoint> Middles,
    double CellMetres
)
{
    private const int WindowCells = 64;

    /// <summary>Windows along the longer side at most: enough for statistics, and soon done.</summary>
    private const int MostAcross = 14;

    /// <summary>Below this share of the correlation's peak the windows do not show the same thing.</summary>
    private const double LeastPeak = 0.25;

    private const double MostMissing = 0.02;

    private const int MostPasses = 6;

    /// <summary>Estimates the shift that takes the truth onto the map: positive east when the map lies too far east.</summary>
    /// <remarks>
    /// Correlation of windowed spectra, repeated with the truth moved by what was found: a window pulls the first
    /// estimate towards zero, the last one has nothing left to pull.
    /// </remarks>
    public static ShiftField Of(ScoredMap map, int band, SurveyTruth truth, int truthBand, int threads)
    {
        List<(int Row, int Column)> places = [];
        GridGeometry grid = map.Grid;
        int firstColumn = Math.Max(0, (int)Math.Ceiling(grid.ColumnOf(truth.Flight.SurveyedWestMetres)));
        int firstRow = Math.Max(0, (int)Math.Ceiling(grid.RowOf(truth.Flight.SurveyedNorthMetres)));
        int lastColumn = Math.Min(grid.Columns, (int)grid.ColumnOf(truth.Flight.SurveyedEastMetres)) - WindowCells;
        int lastRow = Math.Min(grid.Rows, (int)grid.RowOf(truth.Flight.SurveyedSouthMetres)) - WindowCells;
        int step = Math.Max(
            WindowCells,
            Math.Max(lastColumn - firstColumn, lastRow - firstRow) / Math.Max(1, MostAcross - 1)
        );
        for (int row = firstRow; row <= lastRow; row += step)
        {
            for (int column = firstColumn; column <= lastColumn; column += step)
            {
                places.Add((row, column));
            }
        }

        (double, double)?[] shifts = new (double, double)?[places.Count];
        Parallel.For(
            0,
            places.Count,
            new ParallelOptions { MaxDegreeOfParallelism = threads },
            index => shifts[index] = One(map, band, truth.Reflectance, truthBand, places[index])
        );
        return new ShiftField(
            shifts,
            [.. places.Select(at => grid.CentreOf(at.Row + (WindowCells / 2), at.Column + (WindowCells / 2)))],
            grid.CellSizeMetres
        );
    }

    /// <summary>The same field with a shift of the whole map put on, in metres.</summary>
    public ShiftField With(double eastMetres, double northMetres) =>
        this with
        {
            Shifts =
            [
                .. Shifts.Select(shift =>
                    shift is { } at
                        ? (at.East + (eastMetres / CellMetres), at.North + (northMetres / CellMetres))
                        : ((double, double)?)null
                ),
            ],
        };

    /// <summary>Lengths of the differences to another map's field, in cells of this one, where windows lie within half a window.</summary>
    public IEnumerable<double> Against(ShiftField other)
    {
        double reach = WindowCells * CellMetres / 2;
        for (int index = 0; index < Shifts.Count; index++)
        {
            if (Shifts[index] is not { } own)
            {
                continue;
            }

            GridPoint at = Middles[index];
            int nearest = -1;
            double least = reach;
            for (int candidate = 0; candidate < other.Shifts.Count; candidate++)
            {
                double apart = Length(
                    other.Middles[candidate].EastingMetres - at.EastingMetres,
                    other.Middles[candidate].NorthingMetres - at.NorthingMetres
                );
                if (other.Shifts[candidate] is not null && apart < least)
                {
                    (nearest, least) = (candidate, apart);
                }
            }

            if (nearest >= 0)
            {
                (double east, double north) = other.Shifts[nearest]!.Value;
                double scale = other.CellMetres / CellMetres;
                yield return Length(own.East - (east * scale), own.North - (north * scale));
            }
        }
    }

    /// <summary>Lengths of the differences between two fields of the same windows.</summary>
    public IEnumerable<double> Differences(ShiftField other) =>
        Shifts
            .Zip(other.Shifts)
            .Where(pair => pair.First is not null && pair.Second is not null)
            .Select(pair =>
                Length(
                    pair.First!.Value.East - pair.Second!.Value.East,
                    pair.First.Value.North - pair.Second.Value.North
                )
            );

    public IEnumerable<double> Lengths() =>
        Shifts.Where(shift => shift is not null).Select(shift => Length(shift!.Value.East, shift.Value.North));

    private static double Length(double east, double north) => Math.Sqrt((east * east) + (north * north));

    private static (double East, double North)? One(
        ScoredMap map,
        int band,
        ScoredMap truth,
        int truthBand,
        (int Row, int Column) at
    )
    {
        const int N = WindowCells;
        float[] laid = new float[N * N];
        for (int row = 0; row < N; row++)
        {
            map.Band(band).Slice(((at.Row + row) * map.Grid.Columns) + at.Column, N).CopyTo(laid.AsSpan(row * N));
        }

        if (!Prepare(laid, N, N, MostMissing))
        {
            return null;
        }

        double east = 0;
        double north = 0;
        float[] real = new float[N * N];
        double cell = map.Grid.CellSizeMetres;
        for (int pass = 0; pass < MostPasses; pass++)
        {
            for (int row = 0; row < N; row++)
            {
                for (int column = 0; column < N; column++)
                {
                    GridPoint centre = map.Grid.CentreOf(at.Row + row, at.Column + column);
                    real[(row * N) + column] = truth.MeanOver(
                        truthBand,
                        centre.EastingMetres - (east * cell),
                        centre.NorthingMetres - (north * cell),
                        cell
                    );
                }
            }

            if (!Prepare(real, N, N, MostMissing))
            {
                return null;
            }

            (double rows, double columns) = CorrelationPeak.Of(real, laid, N, N, out double share);
            if (!(share > LeastPeak) || Math.Abs(rows) > N / 3.0 || Math.Abs(columns) > N / 3.0)
            {
                return null;
            }

            east += columns;
            north -= rows;
            if (Math.Abs(rows) + Math.Abs(columns) < 0.005)
            {
                break;
            }
        }

        return (east, north);
    }

    /// <summary>Takes the mean off and fades the edges; false when cells are missing or all are alike.</summary>
    internal static bool Prepare(Span<float> window, int rows, int columns, double mostMissing)
    {
        double sum = 0;
        int missing = 0;
        foreach (float value in window)
        {
            if (float.IsNaN(value))
            {
                missing++;
            }
            else
            {
                sum += value;
            }
        }

        if (missing > window.Length * mostMissing)
        {
            return false;
        }

        float mean = (float)(sum / (window.Length - missing));
        double energy = 0;
        for (int index = 0; index < window.Length; index++)
        {
            float value = float.IsNaN(window[index]) ? 0 : window[index] - mean;
            energy += value * value;
            double fade =
                Math.Sin(Math.PI * ((index / columns) + 0.5) / rows)
                * Math.Sin(Math.PI * ((index % columns) + 0.5) / columns);
            window[index] = (float)(value * fade * fade);
        }

        return energy > 1e-6 * window.Length;
    }
}
