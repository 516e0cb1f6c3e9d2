using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>The camera profile that a user of the invented rig would have: data-sheet values, not the true rig.</summary>
public static class NominalProfile
{
    /// <summary>What a camera writes when it has seen the panel in the picture.</summary>
    public const string PanelWord = "hillrow-panel-1";

    private const int ReferenceBand = 4;

    /// <summary>Absolute: a grey of one half, certified to ±2 % of its value with k = 2.</summary>
    private const double CertificateSigma = 0.005;

    /// <summary>Profile of the rig in a dialect, with the panel's certificate.</summary>
    /// <param name="rig">Only its nominal lenses are looked at.</param>
    /// <param name="dialect">Model name, sample layout and metadata map.</param>
    /// <param name="panel">Only its certificate is looked at.</param>
    /// <param name="columns">Pixels across, when smaller pictures are rehearsed.</param>
    /// <param name="rows">Pixels down.</param>
    /// <param name="thermal">The rig carries the thermal sensor.</param>
    public static CameraProfile Of(
        TrueRig rig,
        CardDialect dialect,
        PanelBoard panel,
        int columns = TrueRig.Columns,
        int rows = TrueRig.Rows,
        bool thermal = false
    )
    {
        ArgumentNullException.ThrowIfNull(rig);
        ArgumentNullException.ThrowIfNull(dialect);
        ArgumentNullException.ThrowIfNull(panel);
        return new CameraProfile
        {
            Name = dialect.Model,
            Note = "An invented camera for rehearsals; values from its data sheet.",
            ReferenceBandName = RigBand.Five[ReferenceBand].Name,
            ShortestTriggerIntervalSeconds = 1,
            Bands =
            [
                .. rig.Nominal.Select((lens, band) => Band(lens, band, dialect, columns, rows)),
                .. thermal ? [Thermal(dialect)] : Array.Empty<CameraBand>(),
            ],
            IrradianceSensor = new Imaging.IrradianceSensor(
                dialect.Irradiance,
                Attitude.FromDegrees(0, 0, 0),
                null,
                new Dictionary<string, double>()
            ),
            Panel = Panel(panel),
            Metadata = dialect.Map,
        };
    }

    private static CameraBand Band(RigLens nominal, int band, CardDialect dialect, int columns, int rows)
    {
        RigBand colour = RigBand.Five[band];
        TrueLens lens = nominal.Lens;
        TrueSensor sensor = nominal.Sensor;
        return new CameraBand
        {
            Name = colour.Name,
            CentreNanometres = colour.CentreNanometres,
            WidthNanometres = colour.WidthNanometres,
            Sensor = new BandSensor(columns, rows, TrueRig.PixelMicrometres, 12, dialect.Placement),
            Lens = new BrownConradyLens(
                rows,
                columns,
                new BrownConradyValues(
                    lens.FocalColumns,
                    lens.FocalRows,
                    new PixelPoint(columns / 2.0, rows / 2.0),
                    lens.Radial1,
                    lens.Radial2,
                    lens.Decentring1,
                    lens.Decentring2,
                    lens.Radial3
                )
            ),
            Mount =
                band == ReferenceBand
                    ? CameraMount.Reference
                    : new CameraMount(Matrix3D.Identity, nominal.OffsetMetres),
            Vignetting = new RadialVignetting(
                null,
                [0, sensor.Falloff[0], 0, sensor.Falloff[1], 0, sensor.Falloff[2]],
                null
            ),
            BlackLevel = new BlackLevel(sensor.BlackCounts, dialect.TellsBlackLevel),
            Noise = new NoiseModel(sensor.ElectronsPerCount, sensor.ReadNoiseElectrons),
            RadiometricScale = sensor.ElectronsPerRadianceSecond / (sensor.ElectronsPerCount * TrueSensor.WhiteCount),
        };
    }

    private static CameraBand Thermal(CardDialect dialect)
    {
        ThermalCamera sheet = ThermalCamera.Nominal;
        TrueLens lens = sheet.Lens;
        return new CameraBand
        {
            Name = ThermalCamera.BandName,
            Kind = BandKind.Thermal,
            CentreNanometres = ThermalCamera.CentreNanometres,
            WidthNanometres = ThermalCamera.WidthNanometres,
            Sensor = new BandSensor(
                ThermalCamera.Columns,
                ThermalCamera.Rows,
                ThermalCamera.PixelMicrometres,
                ThermalCamera.Bits,
                dialect.Placement
            ),
            Lens = new BrownConradyLens(
                ThermalCamera.Rows,
                ThermalCamera.Columns,
                new BrownConradyValues(
                    lens.FocalColumns,
                    lens.FocalRows,
                    new PixelPoint(lens.CentreColumn, lens.CentreRow),
                    lens.Radial1,
                    lens.Radial2,
                    0,
                    0,
                    0
                )
            ),
            Mount = new CameraMount(Matrix3D.Identity, sheet.OffsetMetres),
            Thermal = new ThermalScale(
                ThermalCamera.KelvinPerCount,
                ThermalCamera.OffsetKelvin,
                sheet.NoiseKelvin,
                ThermalCamera.StatedAccuracyKelvin
            ),
        };
    }

    private static PanelDescription Panel(PanelBoard panel)
    {
        double half = panel.HalfEdgeMetres;
        return new PanelDescription(
            PanelWord,
            2 * (half + panel.FrameMetres),
            [
                new PanelLevel(
                    "grey",
                    RigBand
                        .Five.Select(
                            (band, index) => (band.Name, Value: Math.Round(panel.CertifiedReflectance[index], 4))
                        )
                        .ToDictionary(pair => pair.Name, pair => pair.Value),
                    CertificateSigma,
                    [new(-half, -half), new(half, -half), new(half, half), new(-half, half)]
                ),
            ]
        );
    }
}
