using Hillrow.Earth;
using Hillrow.Imaging;

namespace Hillrow.Reconstruction;

/// <summary>Surveyed points on the ground, and where they are seen in the captures.</summary>
/// <param name="Points">Unique ids.</param>
/// <param name="Marks">Of these points.</param>
public sealed record GroundControl(IReadOnlyList<ControlPoint> Points, IReadOnlyList<ControlMark> Marks);

/// <summary>A surveyed point.</summary>
/// <param name="Id">As on its target.</param>
/// <param name="Place">WGS 84.</param>
/// <param name="HorizontalSigmaMetres">Standard error of each coordinate in plan.</param>
/// <param name="VerticalSigmaMetres">Standard error of the height.</param>
/// <param name="IsCheckpoint">True: the survey is judged by it and must not be fitted to it.</param>
public sealed record ControlPoint(
    string Id,
    GeodeticPosition Place,
    double HorizontalSigmaMetres,
    double VerticalSigmaMetres,
    bool IsCheckpoint
);

/// <summary>A surveyed point in a picture.</summary>
/// <param name="PointId">Of the point.</param>
/// <param name="File">Picture file, relative to the card, forward slashes; the end of the path is enough.</param>
/// <param name="Page">Of a many-page file; 0 is the first.</param>
/// <param name="Pixel">First pixel's outer corner is (0, 0).</param>
/// <param name="SigmaPixels">Standard error of column and of row.</param>
public sealed record ControlMark(string PointId, string File, int Page, PixelPoint Pixel, double SigmaPixels);
