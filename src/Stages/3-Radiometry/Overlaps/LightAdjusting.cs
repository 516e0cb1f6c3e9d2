using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Radiometry;

/// <summary>
/// Block adjustment of the light: overlapping captures must agree on the same ground. Gives every capture and band its
/// own gain (one, or a smooth field under passing clouds), the lens's remaining falloff, and the change with view angle.
/// </summary>
/// <remarks>Method and what each part assumes: docs/stages/3-radiometry.md.</remarks>
public static class LightAdjusting
{
    private const double RedNanometres = 668;
    private const double InfraredNanometres = 840;

    /// <summary>NDVI below which ground is bare, above which it is canopy.</summary>
    private const double BareNdvi = 0.35;
    private const double CanopyNdvi = 0.75;

    /// <summary>
    /// Areas of frames in one light disagree by less beyond what single looks do: by 0 to 3 % on rehearsed flights in clear light, by 22 % under clouds
    /// that the sensor did not see. A few such clouds (2 % on one flight) are not told from leaves: they widen the stated error alone.
    /// </summary>
    private const double LargestSteadyDisagreement = 0.05;

    /// <summary>Where clouds were, taking their shade off leaves no more than this share of the disagreement.</summary>
    private const double ShadeLeaves = 0.6;

    /// <summary>The calibration with the overlaps' part; unchanged when nothing overlaps.</summary>
    /// <exception cref="InputProblemException">A frame cannot be read.</exception>
    public static Calibration Adjust(
        OverlapInput input,
        OverlapSettings settings,
        IProgress<WorkProgress>? progress = null,
        CancellationToken cancel = default
    )
    {
        ArgumentNullException.ThrowIfNull(input);
        ArgumentNullException.ThrowIfNull(settings);
        (IReadOnlyList<CaptureLooks> captures, int places, _) = OverlapSampling.Take(
            input,
            settings.Threads,
            progress,
            cancel
        );
        return captures.Count == 0 ? Alone(input) : OfLooks(input, settings, captures, places, progress, cancel);
    }

    /// <summary>The same from looks that were taken already.</summary>
    internal static Calibration OfLooks(
        OverlapInput input,
        OverlapSettings settings,
        IReadOnlyList<CaptureLooks> captures,
        int places,
        IProgress<WorkProgress>? progress,
        CancellationToken cancel
    )
    {
        float[] canopy = CanopyShares(input, captures, places);
        BandLooks[] bands =
        [
            .. Enumerable
                .Range(0, input.Frames.Bands.Count)
                .Select(band => BandLooks.Of(input, settings, captures, band))
                .OfType<BandLooks>(),
        ];
        GroundSight sight = new(input, captures);
        List<string> remarks = [];
        bool steady = bands.All(band => band.Course.Steady);
        ShadeField? shade = steady ? null : Shade();
        progress?.Report(new WorkProgress("comparing captures", 0.9));
        BandLight[] solved = Solved();
        if (steady && Disagreement(solved) is var left and > LargestSteadyDisagreement)
        {
            (BandLooks[] told, BandLight[] steadily) = (bands, solved);
            bands = [.. bands.Select(band => band.Contradicted(settings))];
            shade = Shade();
            solved = Solved();
            if (Disagreement(solved) <= ShadeLeaves * left)
            {
                remarks.Add(
                    FormattableString.Invariant(
                        $"The light sensor told steady light, but areas of captures disagreed by {100 * left:0} %: clouds lay on the ground beside it, and the light is taken from the overlaps."
                    )
                );
            }
            else
            {
                // Shade does not explain it: leaves seen from near do.
                (bands, shade, solved) = (told, null, steadily);
            }
        }

        progress?.Report(new WorkProgress("comparing captures", 1));
        ShadeField? Shade() => new ShadeSolving(input, settings, captures, bands, canopy, places).Solve(cancel);
        BandLight[] Solved()
        {
            BandLight?[] found = new BandLight?[bands.Length];
            Parallel.For(
                0,
                bands.Length,
                new ParallelOptions { MaxDegreeOfParallelism = settings.Threads, CancellationToken = cancel },
                band =>
                    found[band] = new BandLightSolving(
                        input,
                        settings,
                        captures,
                        bands[band],
                        shade,
                        sight,
                        canopy,
                        places
                    ).Solve(cancel)
            );
            return [.. found.OfType<BandLight>()];
        }

        if (solved.Length == 0)
        {
            return Alone(input);
        }

        return input.Calibration with
        {
            Light = new LightAdjustment(
                shade?.Rows ?? 1,
                shade?.Columns ?? 1,
                [.. solved.SelectMany(band => band.Captures)],
                [.. solved.Select(band => band.Lens)],
                [.. solved.Select(band => band.Angles)],
                [.. solved.Select(band => band.Agreement)],
                shade is null ? 1 : settings.SigmaRows,
                shade is null ? 1 : settings.SigmaColumns
            )
            {
                HeightMetres = captures.Select(capture => capture.HeightMetres).Order().ElementAt(captures.Count / 2),
            },
            Remarks = [.. input.Calibration.Remarks, .. remarks, .. solved.Select(band => band.Remark)],
        };
    }

    /// <summary>What areas of frames still disagree by, root mean square over the bands.</summary>
    private static double Disagreement(BandLight[] bands) =>
        bands.Length == 0 ? 0 : Math.Sqrt(bands.Average(band => band.Agreement.Shaded * band.Agreement.Shaded));

    private static Calibration Alone(OverlapInput input) =>
        input.Calibration with
        {
            TakesStrayLight = true,
            Remarks = [.. input.Calibration.Remarks, "Captures do not overlap enough to be compared."],
        };

    /// <summary>0 bare … 1 canopy by place, from the mean NDVI of all looks; ½ without red or near infrared.</summary>
    private static float[] CanopyShares(OverlapInput input, IReadOnlyList<CaptureLooks> captures, int places)
    {
        float[] shares = new float[places];
        Array.Fill(shares, 0.5f);
        int red = Nearest(input, RedNanometres);
        int infrared = Nearest(input, InfraredNanometres);
        if (red == infrared)
        {
            return shares;
        }

        double[] sums = new double[places];
        int[] counts = new int[places];
        foreach (OverlapLook look in captures.SelectMany(capture => capture.Looks))
        {
            double ndvi =
                (look.Reflectance[infrared] - look.Reflectance[red])
                / (look.Reflectance[infrared] + look.Reflectance[red]);
            if (double.IsFinite(ndvi))
            {
                sums[look.Place] += ndvi;
                counts[look.Place]++;
            }
        }

        for (int place = 0; place < places; place++)
        {
            if (counts[place] > 0)
            {
                shares[place] = (float)
                    Math.Clamp(((sums[place] / counts[place]) - BareNdvi) / (CanopyNdvi - BareNdvi), 0, 1);
            }
        }

        return shares;
    }

    private static int Nearest(OverlapInput input, double nanometres)
    {
        IReadOnlyList<string> bands = input.Frames.Bands;
        return Enumerable
            .Range(0, bands.Count)
            .MinBy(band => Math.Abs(input.Profile.Band(bands[band]).CentreNanometres - nanometres));
    }
}

/// <summary>One band's share of a <see cref="LightAdjustment"/>.</summary>
/// <param name="Captures">Their light.</param>
/// <param name="Lens">What the lens loses beyond the profile.</param>
/// <param name="Angles">Change with sun and view.</param>
/// <param name="Agreement">How well captures agree.</param>
/// <param name="Remark">The same in words.</param>
internal sealed record BandLight(
    IReadOnlyList<CaptureLight> Captures,
    LensCorrection Lens,
    ViewAngleModel Angles,
    OverlapAgreement Agreement,
    string Remark
);
