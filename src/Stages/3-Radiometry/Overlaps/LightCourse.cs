using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics.Regression;

namespace Hillrow.Radiometry;

/// <summary>The light at one moment, as the sensor tells it.</summary>
/// <param name="Watched">Whether a sensor told it.</param>
/// <param name="LogLight">Logarithm of the level light that the calibration divided by; 0 without a sensor.</param>
/// <param name="LogCourse">Logarithm of the clear sky's course: only its changes mean anything.</param>
/// <param name="PerRightTilt">See <see cref="LightReading"/>.</param>
/// <param name="PerNoseTilt">See <see cref="LightReading"/>.</param>
/// <param name="IsClear">Within a few per cent of the survey's usual light.</param>
internal readonly record struct LightMoment(
    bool Watched,
    double LogLight,
    double LogCourse,
    double PerRightTilt,
    double PerNoseTilt,
    bool IsClear
);

/// <summary>The light over a survey: steady or not, and how steeply it changes from place to place.</summary>
internal sealed record LightCourse(
    IReadOnlyList<LightMoment> Captures,
    IReadOnlyList<LightMoment> Looks,
    bool Watched,
    bool Steady,
    double PerMetre,
    double ReadingSigma
)
{
    /// <summary>No sensor is taken to read better, however evenly.</summary>
    private const double LeastReadingSigma = 0.003;

    /// <summary>Change of the light over a metre when nobody watches it: a cloud's edge takes half of it in fifty metres.</summary>
    private const double UnwatchedPerMetre = 0.01;

    /// <summary>A look in clear light is this near to the others.</summary>
    private const double ClearLook = 0.06;

    private const int FewestForTilt = 6;

    public static LightCourse Of(
        IReadOnlyList<CaptureLooks> captures,
        IReadOnlyList<Capture> looks,
        IrradianceSeries light,
        bool sensor,
        OverlapSettings settings,
        double cloudMetresPerSecond
    )
    {
        LightMoment[] flown = [.. captures.Select(capture => MomentOf(capture.Capture, light, sensor))];
        LightMoment[] looked = [.. looks.Select(capture => MomentOf(capture, light, sensor))];
        if (!sensor)
        {
            return new LightCourse(flown, looked, false, false, UnwatchedPerMetre, settings.ReadingSigma);
        }

        double[] course = [.. flown.Select(moment => moment.LogLight - moment.LogCourse)];
        double scatter = WithoutTilt(flown, course);
        double usual = Median(course);
        bool steady = scatter < settings.SteadyLightSigma && flown.All(moment => moment.Watched);
        return new LightCourse(
            flown,
            [
                .. looked.Select(moment =>
                    moment with
                    {
                        IsClear = Math.Abs(moment.LogLight - moment.LogCourse - usual) < ClearLook,
                    }
                ),
            ],
            true,
            steady,
            steady ? 0 : Steepness(captures, course, cloudMetresPerSecond),
            // Under a steady sky what readings scatter by is their own error; among clouds it cannot be told.
            steady ? Math.Clamp(scatter, LeastReadingSigma, settings.ReadingSigma) : settings.ReadingSigma
        );
    }

    /// <summary>The sensor flew in steady light, and clouds lay on the ground beside it: how steeply the light changes, nobody watched.</summary>
    public LightCourse Contradicted(OverlapSettings settings) =>
        this with
        {
            Steady = false,
            PerMetre = UnwatchedPerMetre,
            ReadingSigma = settings.ReadingSigma,
        };

    private static LightMoment MomentOf(Capture capture, IrradianceSeries light, bool sensor)
    {
        double course = 0;
        if (capture.TimeUtc is { } time && capture.Position is { } at)
        {
            SunPosition sun = SunPosition.At(time, new GeodeticPosition(at.Latitude, at.Longitude, at.HeightMetres));
            course = Math.Log(Math.Max(0.05, sun.Direction.Z));
        }

        return sensor && light.ReadingOf(capture.Id) is { } told
            ? new LightMoment(true, Math.Log(told.Level), course, told.PerRightTilt, told.PerNoseTilt, false)
            : new LightMoment(false, 0, course, 0, 0, false);
    }

    /// <summary>Scatter that a constant tilt of the sensor does not explain.</summary>
    private static double WithoutTilt(LightMoment[] moments, double[] course)
    {
        if (moments.Length < FewestForTilt)
        {
            return Scatter(course);
        }

        double[] design = [.. moments.SelectMany(moment => new[] { 1, moment.PerRightTilt, moment.PerNoseTilt })];
        return Scatter([.. LinearRegression.Fit(design, 3, course).Residuals]);
    }

    private static double Scatter(double[] values)
    {
        double mean = values.Average();
        return Math.Sqrt(values.Average(value => (value - mean) * (value - mean)));
    }

    /// <summary>Root mean square change between captures in a row, over how far the clouds moved against the aircraft.</summary>
    private static double Steepness(IReadOnlyList<CaptureLooks> captures, double[] course, double cloudMetresPerSecond)
    {
        double squares = 0;
        int count = 0;
        for (int index = 1; index < course.Length; index++)
        {
            double seconds = Math.Abs(
                (captures[index].Capture.TimeUtc - captures[index - 1].Capture.TimeUtc)?.TotalSeconds ?? 0
            );
            double metres = Math.Max(5, 2 * cloudMetresPerSecond * seconds);
            double change = (course[index] - course[index - 1]) / metres;
            squares += change * change;
            count++;
        }

        return count == 0 ? UnwatchedPerMetre : Math.Clamp(Math.Sqrt(squares / count), 0.001, 0.03);
    }

    private static double Median(double[] values)
    {
        double[] sorted = [.. values.Order()];
        return sorted[sorted.Length / 2];
    }
}
