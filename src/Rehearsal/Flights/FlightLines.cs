using Hillrow.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>One planned trigger: when, where and which way the nose points.</summary>
/// <param name="Seconds">Since the first trigger of the flight.</param>
/// <param name="PositionMetres">Local frame.</param>
/// <param name="YawDegrees">Clockwise from local north.</param>
/// <param name="Line">Number of the flight line, for reports.</param>
public readonly record struct PlannedCapture(double Seconds, Vector3D PositionMetres, double YawDegrees, int Line);

/// <summary>A plain plan of parallel lines that follows the ground; any list of planned captures serves as well.</summary>
public static class FlightLines
{
    /// <param name="smoothHeight">Up coordinate of the ground to follow.</param>
    /// <param name="heightMetres">Above that ground.</param>
    /// <param name="lines">Parallel lines, flown to and fro.</param>
    /// <param name="perLine">Captures on each.</param>
    /// <param name="yawDegrees">Of the first line.</param>
    /// <param name="forwardOverlap">Share of the picture's height seen again in the next one.</param>
    /// <param name="sideOverlap">Share of the picture's width seen again from the next line.</param>
    public static IReadOnlyList<PlannedCapture> Over(
        Func<double, double, double> smoothHeight,
        double middleEastMetres,
        double middleNorthMetres,
        double heightMetres,
        int lines,
        int perLine,
        double yawDegrees,
        double forwardOverlap,
        double sideOverlap,
        double speedMetresPerSecond = 5
    )
    {
        ArgumentNullException.ThrowIfNull(smoothHeight);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(speedMetresPerSecond);
        double pixel = heightMetres * TrueRig.PixelMicrometres / (TrueRig.NominalFocalMillimetres * 1000);
        double along = pixel * TrueRig.Rows * (1 - forwardOverlap);
        double across = pixel * TrueRig.Columns * (1 - sideOverlap);
        double yaw = yawDegrees * Math.PI / 180;
        (double noseEast, double noseNorth) = (Math.Sin(yaw), Math.Cos(yaw));
        List<PlannedCapture> plan = [];
        double seconds = 0;
        for (int line = 0; line < lines; line++)
        {
            bool back = line % 2 == 1;
            double side = (line - ((lines - 1) / 2.0)) * across;
            for (int index = 0; index < perLine; index++)
            {
                double forward = (index - ((perLine - 1) / 2.0)) * along * (back ? -1 : 1);
                double east = middleEastMetres + (forward * noseEast) + (side * noseNorth);
                double north = middleNorthMetres + (forward * noseNorth) - (side * noseEast);
                plan.Add(
                    new PlannedCapture(
                        seconds,
                        new Vector3D(east, north, smoothHeight(east, north) + heightMetres),
                        yawDegrees + (back ? 180 : 0),
                        line
                    )
                );
                seconds += along / speedMetresPerSecond;
            }

            // Turning takes its time.
            seconds += 7;
        }

        return plan;
    }
}
