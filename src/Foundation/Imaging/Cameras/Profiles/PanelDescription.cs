namespace Hillrow.Imaging;

/// <summary>The reference target of known reflectance: a marker to find it by, and one or more levels of grey.</summary>
/// <param name="Marker">What is printed beside it, family and number, as the intake's marker search names it; empty: found by hand.</param>
/// <param name="MarkerSideMetres">Outer side of the marker's square; 0 without marker.</param>
/// <param name="Levels">At least one.</param>
public sealed record PanelDescription(string Marker, double MarkerSideMetres, IReadOnlyList<PanelLevel> Levels);

/// <summary>One evenly grey field of the panel.</summary>
/// <param name="Name">Told in reports, e.g. "50 %".</param>
/// <param name="ReflectanceByBand">Certified reflectance 0 … 1 of every reflective band.</param>
/// <param name="CertificateSigma">Standard error of that reflectance.</param>
/// <param name="CornersMetres">Its four corners in the marker's plane: origin the marker's centre, x right, y down; empty: found by hand.</param>
public sealed record PanelLevel(
    string Name,
    IReadOnlyDictionary<string, double> ReflectanceByBand,
    double CertificateSigma,
    IReadOnlyList<PanelPoint> CornersMetres
);

/// <summary>A place in the plane of the panel's marker, metres.</summary>
public readonly record struct PanelPoint(double XMetres, double YMetres);
