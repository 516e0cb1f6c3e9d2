using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>A lens as it really is: radial and decentring distortion and a residual field outside that model.</summary>
/// <param name="FocalColumns">Focal length over pixel width.</param>
/// <param name="FocalRows">Focal length over pixel height.</param>
/// <param name="CentreColumn">Principal point; (0, 0) is the outer corner of the first pixel.</param>
/// <param name="CentreRow">Principal point.</param>
/// <param name="Radial1">Of r² on normalized coordinates.</param>
/// <param name="Radial2">Of r⁴.</param>
/// <param name="Decentring1">First tangential term.</param>
/// <param name="Decentring2">Second tangential term.</param>
/// <param name="Radial3">Of r⁶.</param>
/// <param name="Residual">Added to the pixel place afterwards.</param>
/// <remarks>Source: D. C. Brown 1971, "Close-range camera calibration", Photogrammetric Engineering 37(8).</remarks>
public sealed record TrueLens(
    double FocalColumns,
    double FocalRows,
    double CentreColumn,
    double CentreRow,
    double Radial1,
    double Radial2,
    double Decentring1,
    double Decentring2,
    double Radial3,
    ResidualField? Residual
)
{
    /// <summary>Pixel place of a point in the camera frame (x right, y down, z forward).</summary>
    /// <returns>NaN coordinates when the point is not in front of the camera.</returns>
    public PixelPoint Project(Vector3D cameraPoint) =>
        cameraPoint.Z > 0
            ? Distort(cameraPoint.X / cameraPoint.Z, cameraPoint.Y / cameraPoint.Z)
            : new PixelPoint(double.NaN, double.NaN);

    /// <summary>Direction (x, y, 1) in the camera frame seen at a pixel place; exact to 1e-9 px.</summary>
    public Vector3D Ray(double column, double row)
    {
        double x = (column - CentreColumn) / FocalColumns;
        double y = (row - CentreRow) / FocalRows;
        for (int step = 0; step < 40; step++)
        {
            PixelPoint at = Distort(x, y);
            double missX = (column - at.Column) / FocalColumns;
            double missY = (row - at.Row) / FocalRows;
            if ((missX * missX) + (missY * missY) < 1e-24)
            {
                break;
            }

            // Newton with a difference quotient: the derivative need not be exact, only the end does.
            const double H = 1e-5;
            PixelPoint right = Distort(x + H, y);
            PixelPoint below = Distort(x, y + H);
            double a = (right.Column - at.Column) / (H * FocalColumns);
            double b = (below.Column - at.Column) / (H * FocalColumns);
            double c = (right.Row - at.Row) / (H * FocalRows);
            double d = (below.Row - at.Row) / (H * FocalRows);
            double determinant = (a * d) - (b * c);
            x += ((d * missX) - (b * missY)) / determinant;
            y += ((a * missY) - (c * missX)) / determinant;
        }

        return new Vector3D(x, y, 1);
    }

    private PixelPoint Distort(double x, double y)
    {
        double squared = (x * x) + (y * y);
        double radial = 1 + (squared * (Radial1 + (squared * (Radial2 + (squared * Radial3)))));
        double bentX = (x * radial) + (2 * Decentring1 * x * y) + (Decentring2 * (squared + (2 * x * x)));
        double bentY = (y * radial) + (Decentring1 * (squared + (2 * y * y))) + (2 * Decentring2 * x * y);
        double column = (FocalColumns * bentX) + CentreColumn;
        double row = (FocalRows * bentY) + CentreRow;
        if (Residual is null)
        {
            return new PixelPoint(column, row);
        }

        (double moreColumns, double moreRows) = Residual.At(column, row);
        return new PixelPoint(column + moreColumns, row + moreRows);
    }
}
