using Hillrow.Radiometry;

namespace Hillrow.Estate;

/// <summary>How far a survey's colours can be trusted; null what it does not have.</summary>
/// <param name="PanelChange">Panel before the flight against after, the sensor's light taken off, as a share; worst band.</param>
/// <param name="OverlapBefore">Disagreement of captures about the same ground before they were compared, as a share; worst band.</param>
/// <param name="OverlapAfter">After, view angle and lens taken off; worst band.</param>
/// <param name="LevelSigma">Standard error of the survey's level as a share: certificate, panel and light; worst band.</param>
/// <param name="FrameSigma">Typical standard error of one frame's light as a share; worst band.</param>
internal sealed record StoredLight(
    double? PanelChange,
    double? OverlapBefore,
    double? OverlapAfter,
    double? LevelSigma,
    double? FrameSigma
)
{
    public static StoredLight Of(Calibration calibration)
    {
        BandFactor[] used = [.. calibration.Bands.Where(band => band.Method != CalibrationMethod.None)];
        LightAdjustment? light = calibration.Light;
        Dictionary<string, double> levels = (light?.Agreements ?? []).ToDictionary(
            band => band.Band,
            band => band.LevelSigma
        );
        return new StoredLight(
            used.Max(band => band.PanelChange),
            light?.Agreements.Max(band => (double?)band.Before),
            light?.Agreements.Max(band => (double?)band.After),
            used.Max(band => (double?)double.Hypot(band.RelativeSigma, levels.GetValueOrDefault(band.Band))),
            light
                ?.Captures.GroupBy(frame => frame.Band)
                .Max(band => (double?)band.Select(frame => frame.RelativeSigma).Order().ElementAt(band.Count() / 2))
        );
    }
}
