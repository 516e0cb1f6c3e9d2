using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Mapping;
using Hillrow.Sight;

namespace Hillrow.Mapping.Checks;

/// <summary>How far a written map of a <see cref="SyntheticSurvey"/> lies from the truth, in cells.</summary>
public sealed class PlaceErrors
{
    /// <summary>Cells a side of the windows in which a shift is solved: wider than the texture's waves.</summary>
    private const int Window = 16;

    private readonly List<double> misalignments = [];
    private readonly List<(double East, double North)> shifts = [];
    private readonly SyntheticSurvey survey;
    private readonly MapReading map;

    public PlaceErrors(SyntheticSurvey survey, MapReading map)
    {
        this.survey = survey;
        this.map = map;
        for (int row = 0; row + Window <= survey.Grid.Rows; row += Window)
        {
            for (int column = 0; column + Window <= survey.Grid.Columns; column += Window)
            {
                if (Solve(0, row, column) is { } first && Solve(1, row, column) is { } second)
                {
                    shifts.Add(first);
                    misalignments.Add(Length(second.East - first.East, second.North - first.North));
                }
            }
        }
    }

    public int Windows => shifts.Count;

    public double MisalignmentRmsPixels => Math.Sqrt(misalignments.Average(value => value * value));

    public double Misalignment95Pixels => QuantileOf(misalignments, 0.95);

    /// <summary>After taking out the mean shift.</summary>
    public double PlaceRmsPixels
    {
        get
        {
            double east = shifts.Average(shift => shift.East);
            double north = shifts.Average(shift => shift.North);
            return Math.Sqrt(
                shifts.Average(shift =>
                    ((shift.East - east) * (shift.East - east)) + ((shift.North - north) * (shift.North - north))
                )
            );
        }
    }

    /// <summary>Shift of a window against the truth, cells; null where cells lack data.</summary>
    private (double East, double North)? Solve(int band, int firstRow, int firstColumn)
    {
        double ee = 0;
        double en = 0;
        double nn = 0;
        double ed = 0;
        double nd = 0;
        for (int row = firstRow; row < firstRow + Window; row++)
        {
            for (int column = firstColumn; column < firstColumn + Window; column++)
            {
                double error = ErrorAt(band, row, column, out double east, out double north);
                if (double.IsNaN(error))
                {
                    return null;
                }

                const double step = 0.01;
                double byEast =
                    (
                        SyntheticSurvey.Texture(band, east + step, north)
                        - SyntheticSurvey.Texture(band, east - step, north)
                    ) / (2 * step);
                double byNorth =
                    (
                        SyntheticSurvey.Texture(band, east, north + step)
                        - SyntheticSurvey.Texture(band, east, north - step)
                    ) / (2 * step);
                ee += byEast * byEast;
                en += byEast * byNorth;
                nn += byNorth * byNorth;
                ed += byEast * error;
                nd += byNorth * error;
            }
        }

        double determinant = (ee * nn) - (en * en);
        double cell = survey.Grid.CellSizeMetres;
        return (((nn * ed) - (en * nd)) / determinant / cell, ((ee * nd) - (en * ed)) / determinant / cell);
    }

    private double ErrorAt(int band, int row, int column, out double east, out double north)
    {
        GridPoint point = survey.Grid.CentreOf(row, column);
        east = point.EastingMetres - survey.Middle.EastingMetres;
        north = point.NorthingMetres - survey.Middle.NorthingMetres;
        return map.Reflectance[band][(row * survey.Grid.Columns) + column] - SyntheticSurvey.Texture(band, east, north);
    }

    private static double Length(double east, double north) => Math.Sqrt((east * east) + (north * north));

    private static double QuantileOf(List<double> values, double share)
    {
        double[] sorted = [.. values.Order()];
        return sorted[(int)Math.Round(share * (sorted.Length - 1))];
    }
}
