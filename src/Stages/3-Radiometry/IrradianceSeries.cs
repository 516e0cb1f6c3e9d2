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

    /// <summary>Below this sun the beam's part cannot be turned safely.</summary>
    private const double LeastCosine = 0.15;

    private readonly Dictionary<string, double> levels = [];

    private IrradianceSeries(string fault) => Fault = fault;

    /// <summary>Empty when the series may be used.</summary>
    public string Fault { get; }

    public bool Usable => Fault.Length == 0;

    /// <summary>Of all readings; the survey's own unit of light.</summary>
    public double Median { get; private set; }

    public double? At(string captureId) => levels.TryGetValue(captureId, out double level) ? level : null;

    public static IrradianceSeries Of(CameraProfile profile, CameraBand band, IReadOnlyList<Capture> captures)
    {
        (Capture Capture, double Value)[] readings =
        [
            .. captures
                .Select(capture => (capture, Value: capture.FrameOf(band.Name)?.Irradiance))
                .Where(entry => entry.Value is > 0)
                .Select(entry => (entry.capture, entry.Value!.Value)),
        ];
        int frames = captures.Count(capture => capture.FrameOf(band.Name) is not null);
        if (readings.Length == 0)
        {
            return new IrradianceSeries("no irradiance is told");
        }

        if (readings.Length < LeastPresent * frames)
        {
            return new IrradianceSeries($"only {readings.Length} of {frames} frames tell irradiance");
        }

        if (readings.Length >= FewestReadings && readings.All(entry => entry.Value.Equals(readings[0].Value)))
        {
            return new IrradianceSeries($"the irradiance sensor is stuck at {readings[0].Value}");
        }

        double[] sorted = [.. readings.Select(entry => entry.Value).Order()];
        double clear = sorted[(int)(0.9 * (sorted.Length - 1))];
        IrradianceSeries series = new("");
        foreach ((Capture capture, double value) in readings)
        {
            series.levels[capture.Id] = Level(profile, band, capture, value, clear);
        }

        double[] level = [.. series.levels.Values.Order()];
        series.Median = level[level.Length / 2];
        return series;
    }

    /// <summary>Diffuse over direct-normal light of a clear sky with little haze, falling with wavelength as scattering does.</summary>
    public static double ClearDiffuseShare(double nanometres) => 0.05 + (0.20 * Math.Pow(450 / nanometres, 2.5));

    private static double Level(CameraProfile profile, CameraBand band, Capture capture, double value, double clear)
    {
        Matrix3D? turn = SensorTurn(profile, capture);
        if (turn is not { } body || capture.TimeUtc is not { } time || capture.Position is not { } at)
        {
            return value;
        }

        SunPosition sun = SunPosition.At(time, new GeodeticPosition(at.Latitude, at.Longitude, at.HeightMetres));
        Vector3D down = new(0, 0, -1);
        Vector3D upNed = body.Transposed() * down;
        Vector3D normal = new(upNed.Y, upNed.X, -upNed.Z);
        double cosine = Vector3D.Dot(normal, sun.Direction);
        double level = sun.Direction.Z;
        if (cosine < LeastCosine || level < LeastCosine)
        {
            return value;
        }

        double share = ClearDiffuseShare(band.CentreNanometres);
        double diffuse = clear * share / (level + share);
        double beam = Math.Max(0, value - diffuse);
        double incidence = Angle.FromRadians(Math.Acos(Math.Min(1, cosine))).Degrees;
        double response = profile.IrradianceSensor?.Cosine?.ResponseAt(incidence) ?? 1;
        return Math.Min(value, diffuse) + (beam * level / (cosine * response));
    }

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
