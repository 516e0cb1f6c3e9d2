using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Radiometry;

/// <summary>The light on level ground at each capture, from the tilted irradiance sensor.</summary>
/// <remarks>
/// The clear-sky light of the survey is taken as the 90th percentile of the readings; its diffuse part S is a share set
/// by the band's wavelength. A reading E at incidence i becomes S + (E − S) · cos z / (cos i · response(i)): under
/// cloud only the beam's part is turned from the sensor's plane to the level.
/// </remarks>
internal sealed class IrradianceSeries
{
    private const int FewestReadings = 3;
    private const double LeastPresent = 0.9;

    /// <summary>A sensor that lives never tells the same digits so often.</summary>
    private const int FewestStuck = 5;

    private const double LargestStuckShare = 0.2;

    /// <summary>Below this sun the beam's part cannot be turned safely.</summary>
    private const double LeastCosine = 0.15;

    private readonly Dictionary<string, LightReading> readings = [];

    private IrradianceSeries(string fault) => Fault = fault;

    /// <summary>Empty when the series may be used.</summary>
    public string Fault { get; }

    public bool Usable => Fault.Length == 0;

    /// <summary>Of all readings; the survey's own unit of light.</summary>
    public double Median { get; private set; }

    public double? At(string captureId) => readings.TryGetValue(captureId, out LightReading told) ? told.Level : null;

    /// <summary>Null where nothing was told.</summary>
    public LightReading? ReadingOf(string captureId) =>
        readings.TryGetValue(captureId, out LightReading told) ? told : null;

    public static IrradianceSeries Of(CameraProfile profile, CameraBand band, IReadOnlyList<Capture> captures)
    {
        (Capture Capture, double Value)[] told =
        [
            .. captures
                .Select(capture => (capture, Value: capture.FrameOf(band.Name)?.Irradiance))
                .Where(entry => entry.Value is > 0)
                .Select(entry => (entry.capture, entry.Value!.Value)),
        ];
        int frames = captures.Count(capture => capture.FrameOf(band.Name) is not null);
        if (told.Length == 0)
        {
            return new IrradianceSeries("no irradiance is told");
        }

        if (told.Length < LeastPresent * frames)
        {
            return new IrradianceSeries($"only {told.Length} of {frames} frames tell irradiance");
        }

        if (told.Length >= FewestReadings && told.All(entry => entry.Value.Equals(told[0].Value)))
        {
            return new IrradianceSeries($"the irradiance sensor is stuck at {told[0].Value}");
        }

        if (LongestRun(told) is var run && run >= FewestStuck && run > LargestStuckShare * told.Length)
        {
            return new IrradianceSeries($"the irradiance sensor stuck at one value for {run} captures in a row");
        }

        double[] sorted = [.. told.Select(entry => entry.Value).Order()];
        double clear = sorted[(int)(0.9 * (sorted.Length - 1))];
        IrradianceSeries series = new("");
        foreach ((Capture capture, double value) in told)
        {
            series.readings[capture.Id] = Level(profile, band, capture, value, clear);
        }

        double[] level = [.. series.readings.Values.Select(one => one.Level).Order()];
        series.Median = level[level.Length / 2];
        return series;
    }

    /// <summary>Most readings in a row that are the same to the last digit.</summary>
    private static int LongestRun((Capture Capture, double Value)[] told)
    {
        int longest = 0;
        int run = 0;
        for (int index = 0; index < told.Length; index++)
        {
            run = index > 0 && told[index].Value.Equals(told[index - 1].Value) ? run + 1 : 1;
            longest = Math.Max(longest, run);
        }

        return longest;
    }

    /// <summary>Diffuse over direct-normal light of a clear sky with little haze, falling with wavelength as scattering does.</summary>
    public static double ClearDiffuseShare(double nanometres) => 0.05 + (0.20 * Math.Pow(450 / nanometres, 2.5));

    private static LightReading Level(
        CameraProfile profile,
        CameraBand band,
        Capture capture,
        double value,
        double clear
    )
    {
        Matrix3D? turn = SensorTurn(profile, capture);
        if (turn is not { } body || capture.TimeUtc is not { } time || capture.Position is not { } at)
        {
            return new LightReading(value, 0, 0);
        }

        SunPosition sun = SunPosition.At(time, new GeodeticPosition(at.Latitude, at.Longitude, at.HeightMetres));
        Vector3D down = new(0, 0, -1);
        Vector3D normal = UpFromDown(body.Transposed() * down);
        double cosine = Vector3D.Dot(normal, sun.Direction);
        double level = sun.Direction.Z;
        if (cosine < LeastCosine || level < LeastCosine)
        {
            return new LightReading(value, 0, 0);
        }

        double share = ClearDiffuseShare(band.CentreNanometres);
        double diffuse = clear * share / (level + share);
        double beam = Math.Max(0, value - diffuse);
        double incidence = Angle.FromRadians(Math.Acos(Math.Min(1, cosine))).Degrees;
        double response = profile.IrradianceSensor?.Cosine?.ResponseAt(incidence) ?? 1;
        double turned = beam * level / (cosine * response);
        double total = Math.Min(value, diffuse) + turned;
        double lever = total > 0 ? turned / (total * cosine) : 0;
        return new LightReading(
            total,
            lever * Vector3D.Dot(UpFromDown(body.Row2), sun.Direction),
            lever * Vector3D.Dot(UpFromDown(body.Row1), sun.Direction)
        );
    }

    private static Vector3D UpFromDown(Vector3D ned) => new(ned.Y, ned.X, -ned.Z);

    /// <summary>North-east-down into the sensor's axes.</summary>
    private static Matrix3D? SensorTurn(CameraProfile profile, Capture capture)
    {
        if (capture.IrradianceAttitude is { } own)
        {
            return own.NedToBody();
        }

        if (capture.Attitude is not { } aircraft)
        {
            return null;
        }

        Matrix3D body = aircraft.NedToBody();
        return profile.IrradianceSensor is { } sensor ? sensor.MountOffset.NedToBody() * body : body;
    }
}

/// <summary>What the irradiance sensor says of one moment.</summary>
/// <param name="Level">Irradiance of level ground, in the sensor's unit.</param>
/// <param name="PerRightTilt">Share by which it would be told too bright for each radian that the sensor really leans to the right.</param>
/// <param name="PerNoseTilt">The same for leaning to the nose.</param>
internal readonly record struct LightReading(double Level, double PerRightTilt, double PerNoseTilt);
