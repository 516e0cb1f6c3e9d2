using System.Globalization;
using Hillrow.Numerics;

namespace Hillrow.Reconstruction;

/// <summary>
/// How well a survey lies on surveyed points, in the terms of the ASPRS Positional Accuracy Standards for Digital
/// Geospatial Data, Edition 2 (2023): root mean square errors at checkpoints, with the checkpoints' own error added.
/// </summary>
public sealed record ControlFigures
{
    /// <summary>The standard asks for this many checkpoints before a figure may be called tested.</summary>
    public const int CheckpointsAsked = 30;

    /// <summary>Common practice, no source: a quarter of the length.</summary>
    private const double LineShare = 0.25;

    public static ControlFigures None { get; } = new();

    public int ControlPoints { get; init; }

    public int Checkpoints { get; init; }

    /// <summary>Points with too few usable marks.</summary>
    public int PointsUnused { get; init; }

    /// <summary>Miss of the control points themselves after the adjustment; tells mistakes, not accuracy.</summary>
    public double ControlRmseHorizontalMetres { get; init; } = double.NaN;

    public double ControlRmseVerticalMetres { get; init; } = double.NaN;

    /// <summary>Spread of the control points in plan, across their own line over along it: 0 in a line, 1 all round.</summary>
    public double ControlAcrossShare { get; init; } = double.NaN;

    /// <summary>Points in a line hold no tilt about it: the receiver does, to metres over the flight's width.</summary>
    public bool IsInLine => ControlPoints > 0 && ControlAcrossShare < LineShare;

    /// <summary>Radial in plan.</summary>
    public double CheckRmseHorizontalMetres { get; init; } = double.NaN;

    public double CheckRmseVerticalMetres { get; init; } = double.NaN;

    /// <summary>Mean error at the checkpoints: east, north, up.</summary>
    public Vector3D CheckMeanErrorMetres { get; init; }

    /// <summary>Stated error of the checkpoints, radial in plan.</summary>
    public double SurveyErrorHorizontalMetres { get; init; } = double.NaN;

    public double SurveyErrorVerticalMetres { get; init; } = double.NaN;

    /// <summary>RMSE_H with the checkpoints' own error.</summary>
    public double RmseHorizontalMetres => Joined(CheckRmseHorizontalMetres, SurveyErrorHorizontalMetres);

    /// <summary>RMSE_V with the checkpoints' own error.</summary>
    public double RmseVerticalMetres => Joined(CheckRmseVerticalMetres, SurveyErrorVerticalMetres);

    /// <summary>A mean error beyond a quarter of the rms is no scatter: the map is shifted.</summary>
    public bool IsBiased =>
        Checkpoints > 0
        && (
            Math.Sqrt(
                (CheckMeanErrorMetres.X * CheckMeanErrorMetres.X) + (CheckMeanErrorMetres.Y * CheckMeanErrorMetres.Y)
            )
                > 0.25 * CheckRmseHorizontalMetres
            || Math.Abs(CheckMeanErrorMetres.Z) > 0.25 * CheckRmseVerticalMetres
        );

    /// <summary>A sentence or two for the report.</summary>
    public string Statement =>
        (
            Checkpoints == 0
                ? "Absolute accuracy is untested: there are no checkpoints."
                : string.Create(
                    CultureInfo.InvariantCulture,
                    $"RMSE_H = {RmseHorizontalMetres:0.000} m, RMSE_V = {RmseVerticalMetres:0.000} m at {Checkpoints} checkpoints, their survey error of {SurveyErrorHorizontalMetres:0.000} m and {SurveyErrorVerticalMetres:0.000} m included{(Checkpoints < CheckpointsAsked ? $"; fewer than the {CheckpointsAsked} checkpoints that the standard asks for, so an estimate" : "")}{(IsBiased ? "; the mean error is large against the scatter, so the map may be shifted" : "")}."
                )
        )
        + (
            IsInLine
                ? $" The {ControlPoints} control points that pictures show lie nearly in a line: heights may tilt about it; survey a point to the side of it."
                : ""
        );

    /// <summary>Spread of places in plan, the lesser over the greater standard deviation; NaN for fewer than three.</summary>
    public static double AcrossShareOf(IReadOnlyList<Vector3D> places)
    {
        ArgumentNullException.ThrowIfNull(places);
        if (places.Count < 3)
        {
            return double.NaN;
        }

        (double x, double y) = (places.Average(place => place.X), places.Average(place => place.Y));
        double xx = places.Average(place => (place.X - x) * (place.X - x));
        double yy = places.Average(place => (place.Y - y) * (place.Y - y));
        double xy = places.Average(place => (place.X - x) * (place.Y - y));
        double apart = Math.Sqrt(((xx - yy) * (xx - yy)) + (4 * xy * xy));
        return Math.Sqrt(Math.Max(0, xx + yy - apart) / Math.Max(double.Epsilon, xx + yy + apart));
    }

    private static double Joined(double error, double survey) => Math.Sqrt((error * error) + (survey * survey));
}
