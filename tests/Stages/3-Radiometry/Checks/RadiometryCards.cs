using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Radiometry;
using Hillrow.TestSupport;

namespace Hillrow.Checks;

/// <summary>A three-band camera over known reflectance: frames with vignetting, exposure, noise and changing light.</summary>
internal sealed class RadiometryCards : IDisposable
{
    public const int Rows = 240;
    public const int Columns = 320;
    private const double Black = 200;
    private const int Largest = 4095;
    private const double ElectronsPerCount = 2.5;
    private const double ReadElectrons = 8;

    public static readonly string[] Bands = ["green", "red", "nir"];

    /// <summary>Relative radiance of a white surface in clear light, s⁻¹.</summary>
    public static readonly double[] Sensitivity = [6000, 2500, 5000];

    /// <summary>What the panel really reflects; its certificate in the profile says 0.49, 0.50, 0.52.</summary>
    public double[] PanelReflectance { get; init; } = [0.49, 0.5, 0.52];

    private readonly TestFolder folder = new();
    private readonly Random random = new(7);

    public string Root => folder.Path;

    public List<Capture> Captures { get; } = [];

    public List<string> Panels { get; } = [];

    public static CameraProfile Profile { get; } = CameraProfile.Parse(Toml(), "test");

    /// <summary>The same camera, camera and irradiance sensor calibrated absolutely by their makers.</summary>
    public static CameraProfile AbsoluteProfile { get; } =
        Profile with
        {
            Bands =
            [
                .. Profile.Bands.Select(
                    (band, index) =>
                        band with
                        {
                            RadiometricScale = Math.PI * Sensitivity[index] / IrradianceOf(1, index),
                        }
                ),
            ],
            IrradianceSensor = Profile.IrradianceSensor! with { Unit = IrradianceUnit.WattsPerSquareMetreNanometre },
        };

    public void Dispose() => folder.Dispose();

    /// <summary>Reflectance of the survey's ground: a pattern of patches.</summary>
    public static double Ground(int band, int row, int column) =>
        0.03 + (0.1 * band) + (0.06 * (((row / 20) + (column / 20)) % 4));

    /// <summary>Panel over textured soil: a grey square in a dark frame, a little turned.</summary>
    public double PanelScene(int band, double row, double column, Func<double, double, double>? shade = null)
    {
        double x = ((column - 165) * 0.97) + ((row - 115) * 0.24);
        double y = ((row - 115) * 0.97) - ((column - 165) * 0.24);
        double half = Math.Max(Math.Abs(x), Math.Abs(y));
        double soil = (0.12 + (0.05 * band)) * (0.6 + (0.8 * random.NextDouble()));
        return (
                half < 42 ? PanelReflectance[band]
                : half < 52 ? 0.045
                : soil
            ) * (shade?.Invoke(x, y) ?? 1);
    }

    /// <param name="seconds">Since the start.</param>
    /// <param name="light">Level irradiance, 1 in clear sun, one factor for all bands.</param>
    /// <param name="scene">Reflectance at (band, row, column).</param>
    /// <param name="exposure">Seconds.</param>
    /// <param name="panel">Whether it is a panel's capture.</param>
    /// <param name="sensor">Whether the irradiance is told.</param>
    public Capture Shoot(
        double seconds,
        double light,
        Func<int, int, int, double> scene,
        double exposure,
        bool panel = false,
        bool sensor = true
    )
    {
        string id = (Captures.Count + 1).ToString("0000", System.Globalization.CultureInfo.InvariantCulture);
        List<BandFrame> frames = [];
        for (int band = 0; band < Bands.Length; band++)
        {
            CameraBand described = Profile.Bands[band];
            VignettingFormula falloff = (VignettingFormula)described.Vignetting;
            int index = band;
            double gain = band == 1 ? 2 : 1;
            string file = $"{id}-{Bands[band]}.tif";
            CardSpecimen.Write(
                folder.At(file),
                new FrameSpecimen
                {
                    Rows = Rows,
                    Columns = Columns,
                    Sample = (row, column) =>
                        16
                        * Count(
                            light
                                * scene(index, row, column)
                                * falloff.FalloffAt(new PixelPoint(column + 0.5, row + 0.5), Rows, Columns)
                                * Sensitivity[index],
                            exposure,
                            gain
                        ),
                }
            );
            frames.Add(
                new BandFrame
                {
                    Band = Bands[band],
                    File = file,
                    ExposureSeconds = exposure,
                    Gain = gain,
                    BlackLevelCounts = Black,
                    Irradiance = sensor ? IrradianceOf(light, band) : null,
                }
            );
        }

        Capture capture = new()
        {
            Id = id,
            TimeUtc = new DateTimeOffset(2026, 3, 14, 15, 0, 0, TimeSpan.Zero).AddSeconds(seconds),
            Position = new CapturePosition(
                Angle.FromDegrees(-12.5),
                Angle.FromDegrees(-69.2),
                1500,
                VerticalReference.Ellipsoid
            ),
            Frames = frames,
        };
        Captures.Add(capture);
        if (panel)
        {
            Panels.Add(id);
        }

        return capture;
    }

    public RadiometryInput Input() => new(Profile, Root, Captures, Panels);

    public RadiometryResult Run() => RadiometryStage.Run(Input(), RadiometrySettings.Default);

    public ReflectanceFrames Frames(Calibration calibration) => new(calibration, Profile, Root, Captures);

    /// <summary>What the sensor tells in a light.</summary>
    public static double IrradianceOf(double light, int band) => light * (1 + (0.2 * band));

    /// <summary>12-bit count of a signal with photon noise, read noise, rounding and clipping.</summary>
    private double Count(double perSecond, double exposure, double gain)
    {
        double electrons = perSecond * exposure * Largest * ElectronsPerCount;
        double noisy = electrons + (Math.Sqrt(electrons + (ReadElectrons * ReadElectrons)) * Gaussian());
        return Math.Clamp(Math.Round(Black + (noisy * gain / ElectronsPerCount)), 0, Largest);
    }

    private double Gaussian() =>
        Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());

    private static string Toml()
    {
        string head = """
            name = "Invented three"
            referenceBand = "red"
            shortestTriggerIntervalSeconds = 1.0

            [irradianceSensor]
            unit = "relative"
            mountDegrees = [0.0, 0.0, 0.0]

            [panel]
            marker = "square-1"
            markerSideMetres = 0.05
            [[panel.levels]]
            name = "50 %"
            certificateSigma = 0.005
            cornersMetres = [0.1, 0.1, 0.2, 0.1, 0.2, 0.2, 0.1, 0.2]
            [panel.levels.reflectance]
            green = 0.49
            red = 0.50
            nir = 0.52

            """;
        int[] centres = [560, 668, 840];
        return head
            + string.Concat(
                Bands.Select(
                    (name, index) =>
                        $"""

                            [[bands]]
                            name = "{name}"
                            centreNanometres = {centres[index]}.0
                            widthNanometres = 20.0
                            [bands.sensor]
                            columns = {Columns}
                            rows = {Rows}
                            pixelPitchMicrometres = 3.45
                            bitDepth = 12
                            bitPlacement = "high"
                            [bands.lens]
                            focalMillimetres = 1.2
                            principalPointPixels = [160.0, 120.0]
                            [bands.vignetting]
                            model = "radial"
                            coefficients = [0.0, -0.3{index}, 0.0, 0.04]
                            [bands.blackLevel]
                            counts = 210.0
                            fromMetadata = true
                            [bands.noise]
                            electronsPerCount = 2.5
                            readNoiseElectrons = 8.0

                            """
                )
            );
    }
}
