using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Radiometry;

namespace Hillrow.Checks;

/// <summary>One planted fault and what became of it.</summary>
/// <param name="Kind">As in goals.toml.</param>
/// <param name="What">How it was planted.</param>
/// <param name="SilentlyUsed">True when the stage took it without a word.</param>
/// <param name="Told">What the stage said.</param>
public sealed record PlantedFault(string Kind, string What, bool SilentlyUsed, string Told);

/// <summary>Plants every fault that radiometry promises to refuse or mark, and sees what it says.</summary>
public static class PlantedFaults
{
    private const double PanelExposure = 0.00015;
    private const double GroundExposure = 0.0002;

    public static IEnumerable<PlantedFault> All()
    {
        yield return Saturated("first look saturated", secondIsGood: true);
        yield return Saturated("only look saturated", secondIsGood: false);
        yield return Shadowed("half of the second look in shadow", (x, _) => x < 5 ? 0.4 : 1, both: false);
        yield return Shadowed("all of the second look in shadow", (_, _) => 0.6, both: false);
        yield return Shadowed("both looks wholly in shadow", (_, _) => 0.4, both: true);
        yield return Certificate(
            "wrongCertificate",
            "an 18 % panel's certificate",
            [0.18, 0.18, 0.18],
            [0.49, 0.5, 0.52]
        );
        yield return Certificate("wrongCertificate", "in per cent", [49, 50, 52], [0.49, 0.5, 0.52]);
        yield return Certificate(
            "otherBandOrder",
            "a coloured panel's, turned round",
            [0.62, 0.45, 0.30],
            [0.30, 0.45, 0.62]
        );
        yield return Certificate("otherBandOrder", "two bands changed over", [0.45, 0.30, 0.62], [0.30, 0.45, 0.62]);
        yield return OtherNames();
        yield return Stuck("all readings the same", _ => 1);
        yield return Stuck("stuck half way", capture => capture < 6 ? 1 - (0.01 * capture) : 0.94);
    }

    private static PlantedFault Saturated(string what, bool secondIsGood)
    {
        using RadiometryCards cards = new();
        cards.Shoot(0, 1, (b, r, c) => cards.PanelScene(b, r, c), 12 * PanelExposure, panel: true);
        cards.Shoot(60, 1, RadiometryCards.Ground, GroundExposure);
        if (secondIsGood)
        {
            cards.Shoot(300, 1.01, (b, r, c) => cards.PanelScene(b, r, c), PanelExposure, panel: true);
        }

        RadiometryResult result = cards.Run();
        return Of(
            "saturatedPanel",
            what,
            result,
            "saturated",
            result.Calibration.PanelReadings.Any(reading => reading.CaptureId == "0001" && reading.Accepted)
        );
    }

    private static PlantedFault Shadowed(string what, Func<double, double, double> shade, bool both)
    {
        using RadiometryCards cards = new();
        cards.Shoot(0, 1, (b, r, c) => cards.PanelScene(b, r, c, both ? shade : null), PanelExposure, panel: true);
        cards.Shoot(60, 0.98, RadiometryCards.Ground, GroundExposure);
        cards.Shoot(300, 1.01, (b, r, c) => cards.PanelScene(b, r, c, shade), PanelExposure, panel: true);
        RadiometryResult result = Run(cards, RadiometryCards.AbsoluteProfile);
        bool used = result.Calibration.PanelReadings.Any(reading => reading.CaptureId == "0003" && reading.Accepted);
        return Of("shadowedPanel", what, result, "shadow", used && !both);
    }

    private static PlantedFault Certificate(string kind, string what, double[] said, double[] real)
    {
        using RadiometryCards cards = new() { PanelReflectance = real };
        Shoot(cards, Falling);
        CameraProfile profile = RadiometryCards.AbsoluteProfile;
        PanelLevel level = profile.Panel!.Levels[0];
        RadiometryResult result = Run(
            cards,
            profile with
            {
                Panel = profile.Panel with
                {
                    Levels =
                    [
                        level with
                        {
                            ReflectanceByBand = RadiometryCards
                                .Bands.Zip(said)
                                .ToDictionary(pair => pair.First, pair => pair.Second),
                        },
                    ],
                },
            }
        );
        return Of(kind, what, result, "certificate", false);
    }

    private static PlantedFault OtherNames()
    {
        using RadiometryCards cards = new();
        Shoot(cards, Falling);
        CameraProfile profile = RadiometryCards.AbsoluteProfile;
        PanelLevel level = profile.Panel!.Levels[0];
        RadiometryResult result = Run(
            cards,
            profile with
            {
                Panel = profile.Panel with
                {
                    Levels =
                    [
                        level with
                        {
                            ReflectanceByBand = new Dictionary<string, double>
                            {
                                ["green"] = 0.49,
                                ["orange"] = 0.5,
                                ["nir"] = 0.52,
                            },
                        },
                    ],
                },
            }
        );
        return Of("otherBandOrder", "a band that the certificate does not name", result, "certificate", false);
    }

    private static PlantedFault Stuck(string what, Func<int, double> told)
    {
        using RadiometryCards cards = new();
        Shoot(cards, told);
        RadiometryResult result = cards.Run();
        bool used = result.Calibration.Bands.Any(band => band.Method == CalibrationMethod.PanelAndIrradiance);
        return Of("stuckIrradiance", what, result, "stuck", used);
    }

    /// <summary>A panel, fourteen captures in falling light, a panel; the sensor tells what it is asked to.</summary>
    private static void Shoot(RadiometryCards cards, Func<int, double> told)
    {
        for (int capture = 0; capture < 16; capture++)
        {
            double light = Falling(capture);
            bool panel = capture is 0 or 15;
            Capture shot = cards.Shoot(
                20 * capture,
                light,
                panel ? (b, r, c) => cards.PanelScene(b, r, c) : RadiometryCards.Ground,
                panel ? PanelExposure : GroundExposure,
                panel
            );
            int number = capture;
            cards.Captures[^1] = shot with
            {
                Frames =
                [
                    .. shot.Frames.Select(
                        (frame, band) => frame with { Irradiance = RadiometryCards.IrradianceOf(told(number), band) }
                    ),
                ],
            };
        }
    }

    private static double Falling(int capture) => 1 - (0.01 * capture);

    private static RadiometryResult Run(RadiometryCards cards, CameraProfile profile) =>
        RadiometryStage.Run(cards.Input() with { Profile = profile }, RadiometrySettings.Default);

    private static PlantedFault Of(string kind, string what, RadiometryResult result, string word, bool used)
    {
        string told = string.Join(" ", result.Outcome.Reasons);
        bool named =
            told.Contains(word, StringComparison.OrdinalIgnoreCase)
            || result.Calibration.Bands.Any(band => band.Reason.Contains(word, StringComparison.OrdinalIgnoreCase));
        return new PlantedFault(kind, what, used || result.Outcome.Verdict == StageVerdict.Done || !named, told);
    }
}
