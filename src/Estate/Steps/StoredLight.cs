using Hillrow.Radiometry;

namespace Hillrow.Estate;

/// <summary>How far a survey's colours can be trusted.</summary>
/// <param name="Bands">Those with reflectance, in the profile's order.</param>
internal sealed record StoredLight(IReadOnlyList<StoredBandLight> Bands)
{
    private const double Normal90 = 1.6448536269514722;

    public static StoredLight Of(Calibration calibration) =>
        new([
            .. calibration
                .Bands.Where(band => band.Method is not (CalibrationMethod.None or CalibrationMethod.Colours))
                .Select(band => Of(calibration, band)),
        ]);

    private static StoredBandLight Of(Calibration calibration, BandFactor band)
    {
        OverlapAgreement? agreement = calibration.Light?.Agreements.FirstOrDefault(one => one.Band == band.Band);
        double[] looks =
        [
            .. calibration
                .PanelReadings.Where(reading => reading.Band == band.Band && reading.Accepted)
                .Select(reading => reading.RelativeRadiance),
        ];
        double[] frames =
        [
            .. (
                calibration.Light?.Captures.Where(frame => frame.Band == band.Band).Select(frame => frame.RelativeSigma)
                ?? calibration.Frames.Where(frame => frame.Band == band.Band).Select(frame => frame.RelativeSigma)
            ).Order(),
        ];
        double frame = frames.Length == 0 ? 0 : frames[frames.Length / 2];
        double level = double.Hypot(band.RelativeSigma, agreement?.LevelSigma ?? 0);
        return new StoredBandLight(
            band.Band,
            Normal90 * double.Hypot(level, frame),
            band.PanelLevels == 0 ? null : band.PanelLevels,
            band.PanelResidual,
            looks.Length > 1 ? (looks.Max() - looks.Min()) / looks.Average() : null,
            band.Method == CalibrationMethod.PanelAndIrradiance ? band.PanelChange : null,
            band.SensorRatio - 1,
            agreement?.Before,
            agreement?.After
        );
    }
}

/// <summary>One band's; null what the survey does not tell. All are shares of a value.</summary>
/// <param name="Band">Name in the profile.</param>
/// <param name="Width90">Nine of ten values lie within so much of the truth: level and one typical picture's light.</param>
/// <param name="PanelLevels">Grey levels of the panel that were used.</param>
/// <param name="PanelResidual">What they are off their line.</param>
/// <param name="LightChange">Panel before against after the flight, as the camera saw it.</param>
/// <param name="SensorDisagreement">What is left of that when the sensor's light is taken off: sensor against panel.</param>
/// <param name="MakersDisagreement">Level by the panel against that by the makers' absolute calibrations.</param>
/// <param name="OverlapBefore">Captures about the same ground before they were compared.</param>
/// <param name="OverlapAfter">After.</param>
internal sealed record StoredBandLight(
    string Band,
    double Width90,
    int? PanelLevels,
    double? PanelResidual,
    double? LightChange,
    double? SensorDisagreement,
    double? MakersDisagreement,
    double? OverlapBefore,
    double? OverlapAfter
);
