using System.Text.Json;
using Hillrow.Checks;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Radiometry.Tests;

public sealed class RadiometryStageTests : IDisposable
{
    private const double PanelExposure = 0.00015;
    private const double GroundExposure = 0.0002;

    private readonly RadiometryCards cards = new();

    public void Dispose() => cards.Dispose();

    [Fact]
    public void Run_PanelAndSensorUnderChangingLight_RecoversReflectanceWithinSigma()
    {
        Panel(0, 1);
        Ground(60, 1);
        Ground(62, 0.45);
        Panel(300, 0.9);
        RadiometryResult result = cards.Run();
        Assert.Equal(StageVerdict.Done, result.Outcome.Verdict);
        Assert.All(result.Calibration.Bands, band => Assert.Equal(CalibrationMethod.PanelAndIrradiance, band.Method));
        AssertReflectance(result.Calibration, cards.Captures[1], largestBias: 0.012);
        AssertReflectance(result.Calibration, cards.Captures[2], largestBias: 0.012);
    }

    [Fact]
    public void Run_PanelOnly_LevelFollowsTheDriftBetweenLooks()
    {
        // The light falls evenly by 8 % in 300 s; half-way it has fallen by 4 %.
        Panel(0, 1, sensor: false);
        Ground(150, 0.96, sensor: false);
        Panel(300, 0.92, sensor: false);
        RadiometryResult result = cards.Run();
        Assert.Equal(StageVerdict.Degraded, result.Outcome.Verdict);
        Assert.All(result.Calibration.Bands, band => Assert.Equal(CalibrationMethod.Panel, band.Method));
        AssertReflectance(result.Calibration, cards.Captures[1], largestBias: 0.012);
    }

    [Fact]
    public void Run_SaturatedPanel_IsRefusedWithReason()
    {
        cards.Shoot(0, 1, (b, r, c) => cards.PanelScene(b, r, c), 12 * PanelExposure, panel: true);
        Ground(60, 1);
        RadiometryResult result = cards.Run();
        Assert.Equal(StageVerdict.Refused, result.Outcome.Verdict);
        Assert.Contains(result.Calibration.PanelReadings, reading => reading.Reason.Contains("saturated"));
        Assert.False(cards.Frames(result.Calibration).Has("0002", "red"));
    }

    [Fact]
    public void Run_ShadowOverHalfThePanel_LookIsLeftOut()
    {
        Panel(0, 1);
        Ground(60, 0.98);
        cards.Shoot(
            300,
            1.01,
            (b, r, c) => cards.PanelScene(b, r, c, (x, _) => x < 5 ? 0.4 : 1),
            PanelExposure,
            panel: true
        );
        RadiometryResult result = cards.Run();
        Assert.Equal(StageVerdict.Degraded, result.Outcome.Verdict);
        Assert.All(
            result.Calibration.PanelReadings.Where(reading => reading.CaptureId == "0003"),
            reading => Assert.False(reading.Accepted, reading.ToString())
        );
        AssertReflectance(result.Calibration, cards.Captures[1], largestBias: 0.012);
    }

    [Fact]
    public void Run_WholePanelInShadowWhileSensorSeesSun_LookIsLeftOut()
    {
        Panel(0, 1);
        Ground(60, 0.98);
        cards.Shoot(300, 1.01, (b, r, c) => 0.6 * cards.PanelScene(b, r, c), PanelExposure, panel: true);
        RadiometryResult result = cards.Run();
        Assert.Equal(StageVerdict.Degraded, result.Outcome.Verdict);
        Assert.Contains(result.Outcome.Reasons, reason => reason.Contains("shadow"));
        AssertReflectance(result.Calibration, cards.Captures[1], largestBias: 0.012);
    }

    [Fact]
    public void Run_SensorStuck_IsNotUsed()
    {
        Panel(0, 1);
        Ground(60, 1);
        Ground(62, 1);
        Panel(300, 1);
        RadiometryResult result = cards.Run();
        Assert.All(result.Calibration.Bands, band => Assert.Equal(CalibrationMethod.Panel, band.Method));
        Assert.Contains(result.Calibration.Bands, band => band.Reason.Contains("stuck"));
    }

    [Fact]
    public void Run_GroundTriedAsPanel_IsNoPanel()
    {
        Ground(60, 1);
        Ground(62, 0.9);
        cards.Panels.Add("0001");
        RadiometryResult result = cards.Run();
        Assert.Equal(StageVerdict.Refused, result.Outcome.Verdict);
    }

    [Fact]
    public void Run_Calibration_GoesThroughJsonUnchanged()
    {
        Panel(0, 1);
        Ground(60, 0.8);
        RadiometryResult result = cards.Run();
        string once = JsonSerializer.Serialize(result);
        RadiometryResult back = JsonSerializer.Deserialize<RadiometryResult>(once)!;
        Assert.Equal(once, JsonSerializer.Serialize(back));
        Assert.Equal(result.Calibration.Frames, back.Calibration.Frames);
        float[] before = Load(result.Calibration, "0002", "nir").Reflectance;
        Assert.Equal(before, Load(back.Calibration, "0002", "nir").Reflectance);
    }

    [Fact]
    public void Load_CaptureGain_MultipliesReflectance()
    {
        Panel(0, 1);
        Ground(60, 0.8);
        Calibration plain = cards.Run().Calibration;
        Calibration gained = plain with { CaptureGains = [new FrameFactor("0002", "red", 1.25, 0)] };
        float one = Load(plain, "0002", "red").Reflectance[5000];
        Assert.Equal(1.25 * one, Load(gained, "0002", "red").Reflectance[5000], 5);
    }

    [Fact]
    public void Load_LightOfOverlaps_IsOffsetThenGainByPlace()
    {
        Panel(0, 1);
        Ground(60, 0.8);
        Calibration plain = cards.Run().Calibration;
        // Gains rise from the left edge to the right: ln 1 … ln 1.5.
        Calibration lit = plain with
        {
            Light = new LightAdjustment(
                1,
                2,
                [new CaptureLight("0002", "red", [0, Math.Log(1.5)], 0.01, 0.02, 0.003)],
                [new LensCorrection("red", 0, 0, 0, 0, 0)],
                [],
                []
            ),
        };
        float[] before = Load(plain, "0002", "red").Reflectance;
        float[] after = Load(lit, "0002", "red").Reflectance;
        foreach (int column in new[] { 0, 160, 319 })
        {
            int at = (100 * RadiometryCards.Columns) + column;
            double gain = Math.Exp(Math.Log(1.5) * (column + 0.5) / RadiometryCards.Columns);
            Assert.Equal((before[at] - 0.01) * gain, after[at], 4);
        }

        float[] reflectance = new float[before.Length];
        float[] noise = new float[before.Length];
        float[] common = new float[before.Length];
        cards.Frames(lit).LoadApart("0002", "red", reflectance, noise, common);
        (_, float[] sigma) = Load(lit, "0002", "red");
        Assert.Equal(sigma[5000], Math.Sqrt((noise[5000] * noise[5000]) + (common[5000] * common[5000])), 5);
        Assert.True(common[5000] > 0.003);
    }

    [Fact]
    public void LoadPart_SomeColumns_EqualsTheWholeThere()
    {
        Panel(0, 1);
        Ground(60, 0.8);
        Calibration plain = cards.Run().Calibration;
        Calibration lit = plain with
        {
            Light = new LightAdjustment(
                1,
                2,
                [new CaptureLight("0002", "red", [0, Math.Log(1.5)], 0.01, 0.02, 0.003)],
                [new LensCorrection("red", 0, 0, 0, 0, 0)],
                [],
                []
            ),
        };
        ColumnSpan[] wanted = new ColumnSpan[RadiometryCards.Rows];
        wanted[0] = new ColumnSpan(0, 1);
        wanted[7] = new ColumnSpan(13, 310);
        wanted[^1] = new ColumnSpan(RadiometryCards.Columns - 5, RadiometryCards.Columns);
        foreach (Calibration calibration in new[] { plain, lit })
        {
            (float[] whole, float[] wholeSigma) = Load(calibration, "0002", "red");
            float[] part = new float[whole.Length];
            float[] partSigma = new float[whole.Length];
            cards.Frames(calibration).LoadPart("0002", "red", wanted, part, partSigma);
            for (int row = 0; row < wanted.Length; row++)
            {
                for (int column = wanted[row].First; column < wanted[row].End; column++)
                {
                    int at = (row * RadiometryCards.Columns) + column;
                    Assert.Equal(whole[at], part[at]);
                    Assert.Equal(wholeSigma[at], partSigma[at]);
                }
            }
        }
    }

    [Fact]
    public void Load_ExactCalibration_SpreadIsWhatSigmaSays()
    {
        Ground(0, 1);
        Calibration exact = new()
        {
            Bands =
            [
                .. RadiometryCards.Bands.Select(
                    (band, index) =>
                        new BandFactor(
                            band,
                            1 / RadiometryCards.Sensitivity[index],
                            0,
                            CalibrationMethod.Panel,
                            "exact"
                        )
                ),
            ],
            Frames = [.. RadiometryCards.Bands.Select(band => new FrameFactor("0001", band, 1, 0))],
            PanelReadings = [],
            Remarks = [],
        };
        for (int band = 0; band < RadiometryCards.Bands.Length; band++)
        {
            (float[] reflectance, float[] sigma) = Load(exact, "0001", RadiometryCards.Bands[band]);
            double mean = 0;
            double squares = 0;
            for (int index = 0; index < reflectance.Length; index++)
            {
                double off = reflectance[index] - RadiometryCards.Ground(band, index / 320, index % 320);
                mean += off / sigma[index] / reflectance.Length;
                squares += off * off / (sigma[index] * sigma[index]) / reflectance.Length;
            }

            // 76,800 draws: the mean square of normal draws scatters by 0.005, their mean by 0.004.
            Assert.InRange(squares, 0.97, 1.03);
            Assert.InRange(mean, -0.02, 0.02);
        }
    }

    private void Panel(double seconds, double light, bool sensor = true) =>
        cards.Shoot(seconds, light, (b, r, c) => cards.PanelScene(b, r, c), PanelExposure, panel: true, sensor);

    private void Ground(double seconds, double light, bool sensor = true) =>
        cards.Shoot(seconds, light, RadiometryCards.Ground, GroundExposure, panel: false, sensor);

    private (float[] Reflectance, float[] Sigma) Load(Calibration calibration, string capture, string band)
    {
        float[] reflectance = new float[RadiometryCards.Rows * RadiometryCards.Columns];
        float[] sigma = new float[reflectance.Length];
        cards.Frames(calibration).Load(capture, band, reflectance, sigma);
        return (reflectance, sigma);
    }

    /// <summary>Mean share of error small, and single pixels spread as their sigma says.</summary>
    private void AssertReflectance(Calibration calibration, Capture capture, double largestBias)
    {
        for (int band = 0; band < RadiometryCards.Bands.Length; band++)
        {
            string name = RadiometryCards.Bands[band];
            (float[] reflectance, float[] sigma) = Load(calibration, capture.Id, name);
            double bias = 0;
            double squares = 0;
            int inside = 0;
            for (int index = 0; index < reflectance.Length; index++)
            {
                double truth = RadiometryCards.Ground(
                    band,
                    index / RadiometryCards.Columns,
                    index % RadiometryCards.Columns
                );
                double off = reflectance[index] - truth;
                bias += off / truth / reflectance.Length;
                squares += off * off / (sigma[index] * sigma[index]) / reflectance.Length;
                inside += Math.Abs(off) < 1.645 * sigma[index] ? 1 : 0;
            }

            Assert.True(Math.Abs(bias) < largestBias, $"{capture.Id} {name}: bias {bias}");
            Assert.True(squares < 1.6, $"{capture.Id} {name}: mean (error / sigma)² {squares}");
            Assert.InRange(inside / (double)reflectance.Length, 0.85, 1.0);
        }
    }
}
