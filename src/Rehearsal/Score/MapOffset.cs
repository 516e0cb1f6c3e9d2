using Hillrow.Earth;
using Hillrow.Numerics.Statistics;

namespace Hillrow.Rehearsal;

/// <summary>
/// The one rigid shift of a survey against the truth, which satellite positions alone leave; told as a figure of its
/// own and taken off before anything else is compared.
/// </summary>
/// <param name="EastMetres">Positive when the map lies too far east.</param>
/// <param name="NorthMetres">Positive when it lies too far north.</param>
/// <param name="UpMetres">Positive when it lies too high.</param>
internal readonly record struct MapOffset(double EastMetres, double NorthMetres, double UpMetres)
{
    private const string Band = "near infrared";

    /// <summary>Coarse enough to forget single leaves, fine enough to tell neighbouring plants apart.</summary>
    private const double CoarseCellMetres = 0.25;

    /// <summary>Less than this part of a cell is the estimate's own error.</summary>
    private const double LeastCells = 0.03;

    public static string[] Names { get; } = ["mapOffsetMetres.east", "mapOffsetMetres.north", "mapOffsetMetres.up"];

    public static MapOffset Of(SurveyProducts found, SurveyTruth truth, int threads)
    {
        (double east, double north) = Level(found, truth, threads);
        return new MapOffset(east, north, Height(found, truth, east, north));
    }

    public void Add(ScoreSheet sheet, SurveyProducts found)
    {
        if (found.Reflectance is null)
        {
            sheet.MissAll(Names.Take(2), "there is no reflectance map");
        }
        else
        {
            sheet.Add(Names[0], EastMetres);
            sheet.Add(Names[1], NorthMetres);
        }

        if (found.Surface is null)
        {
            sheet.Miss(Names[2], "there is no surface map");
        }
        else
        {
            sheet.Add(Names[2], UpMetres);
        }
    }

    /// <summary>The products moved to where they should lie.</summary>
    public SurveyProducts TakenOff(SurveyProducts found)
    {
        (double east, double north, double up) = this;
        GridPoint Back(GridPoint at) => new(at.EastingMetres - east, at.NorthingMetres - north);
        return found with
        {
            Reflectance = found.Reflectance?.Moved(-east, -north, 0),
            ReflectanceSigma = found.ReflectanceSigma?.Moved(-east, -north, 0),
            Surface = found.Surface?.Moved(-east, -north, -up),
            Ground = found.Ground?.Moved(-east, -north, -up),
            Plants = found.Plants is null
                ? null
                : [.. found.Plants.Select(plant => plant with { Place = Back(plant.Place) })],
            Gaps = found.Gaps is null ? null : [.. found.Gaps.Select(Back)],
        };
    }

    private static (double East, double North) Level(SurveyProducts found, SurveyTruth truth, int threads)
    {
        int own = found.Reflectance?.IndexOf(Band) ?? -1;
        int real = truth.Reflectance.IndexOf(Band);
        if (found.Reflectance is not { } map || own < 0)
        {
            return (0, 0);
        }

        (double east, double north) = Coarse(map, own, truth, real);
        double cell = map.Grid.CellSizeMetres;
        ShiftField field = ShiftField.Of(map.Moved(-east, -north, 0), own, truth, real, threads);
        (double East, double North)[] shifts =
        [
            .. field.Shifts.Where(shift => shift is not null).Select(shift => shift!.Value),
        ];
        if (shifts.Length > 0)
        {
            east += cell * Quantiles.Median([.. shifts.Select(shift => shift.East)]);
            north += cell * Quantiles.Median([.. shifts.Select(shift => shift.North)]);
        }

        return Math.Abs(east) + Math.Abs(north) < LeastCells * cell ? (0, 0) : (east, north);
    }

    /// <summary>Correlation of the whole rectangle at once: rows repeat, a whole estate does not.</summary>
    private static (double East, double North) Coarse(ScoredMap map, int own, SurveyTruth truth, int real)
    {
        FlightTruth flight = truth.Flight;
        int columns = (int)((flight.SurveyedEastMetres - flight.SurveyedWestMetres) / CoarseCellMetres);
        int rows = (int)((flight.SurveyedNorthMetres - flight.SurveyedSouthMetres) / CoarseCellMetres);
        if (rows < 16 || columns < 16)
        {
            return (0, 0);
        }

        float[] laid = new float[rows * columns];
        float[] wanted = new float[rows * columns];
        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                double easting = flight.SurveyedWestMetres + ((column + 0.5) * CoarseCellMetres);
                double northing = flight.SurveyedNorthMetres - ((row + 0.5) * CoarseCellMetres);
                int at = (row * columns) + column;
                laid[at] = map.MeanOver(own, easting, northing, CoarseCellMetres);
                wanted[at] = truth.Reflectance.MeanOver(real, easting, northing, CoarseCellMetres);
            }
        }

        if (!ShiftField.Prepare(laid, rows, columns, 0.4) || !ShiftField.Prepare(wanted, rows, columns, 0.4))
        {
            return (0, 0);
        }

        (double down, double right) = CorrelationPeak.Of(wanted, laid, rows, columns, out _);
        return Math.Abs(down) > rows / 3.0 || Math.Abs(right) > columns / 3.0
            ? (0, 0)
            : (right * CoarseCellMetres, -down * CoarseCellMetres);
    }

    private static double Height(SurveyProducts found, SurveyTruth truth, double east, double north)
    {
        if (found.Surface is not { } surface)
        {
            return 0;
        }

        int real = truth.Heights.IndexOf("surface");
        double[] misses =
        [
            .. ReflectanceScore
                .Judged(surface.Moved(-east, -north, 0), 0, truth)
                .Where((_, index) => index % 7 == 0)
                .Select(cell => (double)cell.Value - truth.Heights.At(real, cell.Easting, cell.Northing))
                .Where(double.IsFinite),
        ];
        return misses.Length == 0 ? 0 : Quantiles.MedianInPlace(misses);
    }
}
