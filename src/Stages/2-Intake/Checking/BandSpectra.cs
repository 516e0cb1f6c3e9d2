using System.Globalization;
using Hillrow.Imaging;

namespace Hillrow.Intake;

/// <summary>Asks the pictures whether two bands hold each other's: what grows and lies on the ground has known spectra.</summary>
/// <remarks>
/// The panel turns counts into reflectance, roughly. Coarse tiles of all captures are then explained as mixtures of green
/// leaves, soil and dry litter; that the bands are as they are called must explain them better than any exchange of
/// two. Without a usable panel picture nothing is said. Spectra: typical ones, from memory, of the classes that spectral
/// libraries show; only their shape matters, since shade and level are free.
/// </remarks>
internal static class BandSpectra
{
    /// <summary>Of the misfit as called: an exchange that explains the tiles so much better is told.</summary>
    private const double Better = 0.5;

    /// <summary>A misfit this small as called leaves no doubt.</summary>
    private const double Small = 0.03;

    private const int LeastTiles = 200;
    private const int MostTiles = 4000;

    private static readonly (double Nanometres, double Leaf, double Soil, double Litter)[] Typical =
    [
        (430, 0.03, 0.06, 0.10),
        (470, 0.035, 0.075, 0.13),
        (500, 0.04, 0.085, 0.15),
        (550, 0.085, 0.12, 0.20),
        (600, 0.055, 0.155, 0.24),
        (670, 0.035, 0.18, 0.28),
        (700, 0.10, 0.195, 0.30),
        (720, 0.21, 0.205, 0.315),
        (740, 0.34, 0.215, 0.33),
        (780, 0.45, 0.235, 0.355),
        (840, 0.48, 0.255, 0.385),
        (950, 0.48, 0.28, 0.42),
    ];

    /// <summary>What is told of a swap; null when nothing speaks for one, or nothing can be said.</summary>
    /// <param name="input">Of the check.</param>
    /// <param name="looks">By capture and frame.</param>
    /// <param name="panelLevel">Of a band's panel for one second, gain 1 and the irradiance of its moment; null without one.</param>
    public static string? SwapTold(FieldCheckInput input, FrameLook?[][] looks, Func<string, double?> panelLevel)
    {
        CameraBand[] bands =
        [
            .. input.Profile.ReflectiveBands.Where(band => band.CentreNanometres is >= 430 and <= 950),
        ];
        double?[] panels = [.. bands.Select(band => panelLevel(band.Name))];
        if (bands.Length < 3 || panels.Any(level => level is not > 0) || input.Profile.Panel is not { } panel)
        {
            return null;
        }

        double[] certified =
        [
            .. bands.Select(band =>
                panel.Levels.Min(level => level.ReflectanceByBand.GetValueOrDefault(band.Name, 0.5))
            ),
        ];
        double[][] tiles = Tiles(input, looks, bands, [.. panels.Select((level, at) => certified[at] / level!.Value)]);
        if (tiles.Length < LeastTiles)
        {
            return null;
        }

        double[][] pure =
        [
            .. new[] { 0, 1, 2 }.Select(kind => bands.Select(band => At(band.CentreNanometres, kind)).ToArray()),
        ];
        int[] order = [.. Enumerable.Range(0, bands.Length)];
        double asCalled = Misfit(tiles, pure, order);
        double best = asCalled;
        (int, int)? swap = null;
        for (int one = 0; one < bands.Length; one++)
        {
            for (int other = one + 1; other < bands.Length; other++)
            {
                int[] exchanged = [.. order];
                (exchanged[one], exchanged[other]) = (other, one);
                double misfit = Misfit(tiles, pure, exchanged);
                if (misfit < best)
                {
                    (best, swap) = (misfit, (one, other));
                }
            }
        }

        if (swap is null || asCalled <= Small || best >= Better * asCalled)
        {
            swap = GreenAndRed(tiles, bands, pure, asCalled);
            return swap is var (green, red)
                ? $"bands {bands[green].Name} and {bands[red].Name} look swapped: leaves are darker and soil brighter in the green band than in the red; check the camera profile and the file names"
                : null;
        }

        return swap is var (first, second)
            ? string.Create(
                CultureInfo.InvariantCulture,
                $"bands {bands[first].Name} and {bands[second].Name} look swapped: the ground fits known spectra {asCalled / best:0.0} times better with their pictures exchanged; check the camera profile and the file names"
            )
            : null;
    }

    /// <summary>
    /// Green and red of a mixed ground differ too little for their mixtures alone to tell. But near infrared over the
    /// geometric mean of the two tells the share of leaves whichever is which, and with it what the logarithm of green
    /// over red must be: negative on soil, positive on leaves. Three signs are weighed as odds: that logarithm's mean (soils
    /// differ in colour), how it follows the expected one from tile to tile (nothing to see where all is alike), and
    /// which way round mixtures fit better.
    /// </summary>
    /// <returns>Their places when they are exchanged clearly; null otherwise.</returns>
    private static (int Green, int Red)? GreenAndRed(
        double[][] tiles,
        CameraBand[] bands,
        double[][] pure,
        double asCalled
    )
    {
        int green = Array.FindIndex(bands, band => band.CentreNanometres is >= 510 and <= 590);
        int red = Array.FindIndex(bands, band => band.CentreNanometres is >= 620 and <= 690);
        int infrared = Array.FindIndex(bands, band => band.CentreNanometres >= 760);
        if (green < 0 || red < 0 || infrared < 0)
        {
            return null;
        }

        (double Leaves, double Greenness)[] mixed =
        [
            .. Enumerable
                .Range(0, MixtureSteps + 1)
                .Select(step => step / (double)MixtureSteps)
                .Select(leaf =>
                {
                    double Of(int band) => (leaf * pure[0][band]) + ((1 - leaf) * (pure[1][band] + pure[2][band]) / 2);
                    return Ratios(Of(green), Of(red), Of(infrared));
                }),
        ];
        double[] seen = new double[tiles.Length];
        double[] expected = new double[tiles.Length];
        for (int tile = 0; tile < tiles.Length; tile++)
        {
            (double leaves, seen[tile]) = Ratios(tiles[tile][green], tiles[tile][red], tiles[tile][infrared]);
            expected[tile] = mixed.MinBy(one => Math.Abs(one.Leaves - leaves)).Greenness;
        }

        double seenMean = seen.Average();
        double expectedMean = expected.Average();
        double variance = expected.Average(value => (value - expectedMean) * (value - expectedMean));
        double together = 0;
        for (int tile = 0; tile < tiles.Length; tile++)
        {
            together += (seen[tile] - seenMean) * (expected[tile] - expectedMean) / tiles.Length;
        }

        double slope = together / Math.Max(variance, 1e-9);
        int[] exchanged = [.. Enumerable.Range(0, bands.Length)];
        (exchanged[green], exchanged[red]) = (red, green);
        double odds =
            (2 * seenMean * expectedMean / (ColourSigma * ColourSigma))
            + (2 * slope / ((SlopeSigma * SlopeSigma) + (LeastVariance / Math.Max(variance, 1e-9))))
            + (FitWeight * Math.Log(Misfit(tiles, pure, exchanged) / Math.Max(asCalled, 1e-9)));
        return odds < -ClearlyExchanged ? (green, red) : null;
    }

    private static (double Leaves, double Greenness) Ratios(double green, double red, double infrared) =>
        (Math.Log(infrared / Math.Sqrt(green * red)), Math.Log(green / red));

    private const int MixtureSteps = 100;

    /// <summary>Of the mean logarithm: soils are grey, yellow or red (from memory).</summary>
    private const double ColourSigma = 0.4;

    /// <summary>Of the slope, 1 as called and −1 exchanged.</summary>
    private const double SlopeSigma = 0.5;

    /// <summary>Of the expected logarithm: with less from tile to tile the slope is made by noise and soil.</summary>
    private const double LeastVariance = 0.01;

    private const double FitWeight = 4;

    /// <summary>Natural logarithm of the odds: 12 to 1.</summary>
    private const double ClearlyExchanged = 2.5;

    /// <summary>Rough reflectance by band of tiles that are neither dark nor clipped, spread over the survey.</summary>
    private static double[][] Tiles(FieldCheckInput input, FrameLook?[][] looks, CameraBand[] bands, double[] scale)
    {
        List<double[]> tiles = [];
        const int All = FrameLook.TileShareEdge * FrameLook.TileShareEdge;
        IReadOnlyList<IntakeCapture> captures = input.Intake.Captures;
        int survey = Math.Max(1, captures.Count(one => one.Role == CaptureRole.Survey));
        int step = Math.Max(1, survey * All / MostTiles);
        int place = 0;
        for (int at = 0; at < captures.Count; at++)
        {
            if (captures[at].Role != CaptureRole.Survey)
            {
                continue;
            }

            IReadOnlyList<BandFrame> frames = captures[at].Capture.Frames;
            int[] of = [.. bands.Select(band => frames.ToList().FindIndex(frame => frame.Band == band.Name))];
            if (of.Any(frame => frame < 0 || looks[at][frame] is not { TileShares.Count: All, SaturatedShare: < 0.02 }))
            {
                continue;
            }

            for (int tile = 0; tile < All; tile++)
            {
                if (place++ % step != 0)
                {
                    continue;
                }

                double[] spectrum =
                [
                    .. of.Select(
                        (frame, band) =>
                            looks[at][frame]!.Value.TileShares[tile] * scale[band] / LightJudging.Light(frames[frame])
                    ),
                ];
                if (spectrum.All(value => value is > 0 and < 2))
                {
                    tiles.Add(spectrum);
                }
            }
        }

        return [.. tiles];
    }

    private static double At(double nanometres, int kind)
    {
        int above = Array.FindIndex(Typical, row => row.Nanometres >= nanometres);
        if (above <= 0)
        {
            return Of(Typical[above < 0 ? Typical.Length - 1 : 0], kind);
        }

        double share =
            (nanometres - Typical[above - 1].Nanometres) / (Typical[above].Nanometres - Typical[above - 1].Nanometres);
        return ((1 - share) * Of(Typical[above - 1], kind)) + (share * Of(Typical[above], kind));
    }

    private static double Of((double Nanometres, double Leaf, double Soil, double Litter) row, int kind) =>
        kind == 0 ? row.Leaf
        : kind == 1 ? row.Soil
        : row.Litter;

    /// <summary>Median over the tiles of what mixtures leave unexplained, as a share, every band counting alike.</summary>
    private static double Misfit(double[][] tiles, double[][] pure, int[] order)
    {
        int bands = order.Length;
        double[] weights = [.. Enumerable.Range(0, bands).Select(band => 1 / pure.Average(kind => kind[band]))];
        double[] misfits = new double[tiles.Length];
        double[] target = new double[bands];
        for (int tile = 0; tile < tiles.Length; tile++)
        {
            double whole = 0;
            for (int band = 0; band < bands; band++)
            {
                target[band] = tiles[tile][order[band]] * weights[band];
                whole += target[band] * target[band];
            }

            misfits[tile] = Unexplained(target, pure, weights) / whole;
        }

        Array.Sort(misfits);
        return misfits[misfits.Length / 2];
    }

    /// <summary>Least squares with amounts that are not negative, one amount at a time until nothing moves.</summary>
    private static double Unexplained(double[] target, double[][] pure, double[] weights)
    {
        Span<double> left = stackalloc double[target.Length];
        target.CopyTo(left);
        Span<double> amounts = stackalloc double[pure.Length];
        for (int round = 0; round < 60; round++)
        {
            double moved = 0;
            for (int kind = 0; kind < pure.Length; kind++)
            {
                double product = 0;
                double power = 0;
                for (int band = 0; band < target.Length; band++)
                {
                    double value = pure[kind][band] * weights[band];
                    product += left[band] * value;
                    power += value * value;
                }

                double step = Math.Max(-amounts[kind], product / power);
                amounts[kind] += step;
                moved = Math.Max(moved, Math.Abs(step));
                for (int band = 0; band < target.Length; band++)
                {
                    left[band] -= step * pure[kind][band] * weights[band];
                }
            }

            if (moved < 1e-6)
            {
                break;
            }
        }

        double rest = 0;
        foreach (double value in left)
        {
            rest += value * value;
        }

        return rest;
    }
}
