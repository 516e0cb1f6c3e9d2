using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Radiometry;

/// <summary>Sets up and solves one band's overlaps.</summary>
internal sealed class BandLightSolving(
    OverlapInput input,
    OverlapSettings settings,
    IReadOnlyList<CaptureLooks> captures,
    float[] canopy,
    int places
)
{
    /// <summary>Three canopy and three soil kernels, then the lens: r², r⁴, across, down.</summary>
    private const int Regressors = 10;
    private const int Lens = 6;
    private const int FewestLooks = 40;
    private const double SmallestReflectance = 0.002;

    /// <summary>Clouds drift about so fast; with the aircraft's own way it tells how soon another cloud is seen.</summary>
    private const double CloudMetresPerSecond = 5;

    /// <summary>Null when too little overlaps, or the band has no reflectance.</summary>
    public BandLight? Solve(int bandIndex, CancellationToken cancel)
    {
        string name = input.Frames.Bands[bandIndex];
        CameraBand band = input.Profile.Band(name);
        BandFactor factor = input.Calibration.Bands.First(one => one.Band == name);
        if (factor.Method == CalibrationMethod.None)
        {
            return null;
        }

        IrradianceSeries light = IrradianceSeries.Of(input.Profile, band, input.Captures);
        bool sensor = factor.Method != CalibrationMethod.Panel && light.Usable;
        Capture[] looks =
        [
            .. input
                .Calibration.PanelReadings.Where(reading => reading.Band == name && reading.Accepted)
                .Select(reading => input.Captures.First(capture => capture.Id == reading.CaptureId)),
        ];
        LightCourse course = LightCourse.Of(captures, looks, light, sensor, settings, CloudMetresPerSecond);
        int rows = course.Steady ? 1 : settings.CloudNodeRows;
        int columns = course.Steady ? 1 : settings.CloudNodeColumns;
        double[] offsets = [.. captures.Select(capture => OffsetOf(band, capture, bandIndex).Offset)];
        Dictionary<string, FrameFactor> factors = input
            .Calibration.Frames.Where(frame => frame.Band == name)
            .ToDictionary(frame => frame.CaptureId);
        double[] drift = [.. captures.Select(capture => DriftOf(capture.Capture.Id, factors, light, sensor))];
        GainSamples samples = Samples(band, bandIndex, rows, columns, offsets, drift);
        if (samples.Looks < FewestLooks)
        {
            return null;
        }

        // Further unknowns: the light's error at each look at the panel, two tilts of the sensor, the steady level.
        GainProblem problem = new(samples, captures.Count, rows * columns, looks.Length + 3);
        int tilt = problem.FurtherStart + looks.Length;
        AddShared(problem, band);
        AddNodes(problem, rows, columns);
        AddLight(problem, bandIndex, course, looks.Length, tilt, rows, columns);
        GainSolution solution = GainSolver.Solve(problem, cancel: cancel);
        return Result(problem, solution, band, bandIndex, course, looks.Length, rows, columns, drift);
    }

    private (double Offset, double Sigma) OffsetOf(CameraBand band, CaptureLooks capture, int bandIndex)
    {
        double mean = double.IsFinite(capture.MeanReflectance[bandIndex]) ? capture.MeanReflectance[bandIndex] : 0;
        double stray = settings.StrayLightShare * mean;
        double air =
            capture.TowardsSun.Z > 0
                ? PathLight.Reflectance(
                    band.CentreNanometres,
                    capture.HeightMetres,
                    capture.TowardsSun.Z,
                    settings.HazeDepth
                )
                : 0;
        double straySigma = settings.StrayLightShareSigma * mean;
        double airSigma = settings.PathLightRelativeSigma * air;
        return (stray + air, Math.Sqrt((straySigma * straySigma) + (airSigma * airSigma)));
    }

    /// <summary>What the frame's factor holds beside the sensor's light: the panel's looks interpolated in time.</summary>
    private static double DriftOf(
        string captureId,
        Dictionary<string, FrameFactor> factors,
        IrradianceSeries light,
        bool sensor
    )
    {
        double follow = sensor && light.At(captureId) is { } level ? light.Median / level : 1;
        return factors.TryGetValue(captureId, out FrameFactor? frame) ? frame.Factor / follow : 1;
    }

    private GainSamples Samples(CameraBand band, int bandIndex, int rows, int columns, double[] offsets, double[] drift)
    {
        List<(int Capture, OverlapLook Look)>[] byPlace = new List<(int, OverlapLook)>[places];
        for (int capture = 0; capture < captures.Count; capture++)
        {
            foreach (OverlapLook look in captures[capture].Looks)
            {
                (byPlace[look.Place] ??= []).Add((capture, look));
            }
        }

        GainSamples samples = new(Regressors);
        Span<float> shared = stackalloc float[Regressors];
        (double wide, double tall) = (band.Sensor.Columns, band.Sensor.Rows);
        double diagonal = (wide * wide) + (tall * tall);
        for (int place = 0; place < places; place++)
        {
            foreach ((int capture, OverlapLook look) in byPlace[place] ?? [])
            {
                double found = look.Reflectance[bandIndex] / drift[capture];
                if (!(found - offsets[capture] > SmallestReflectance))
                {
                    continue;
                }

                PixelPoint pixel = look.Pixels[bandIndex];
                double across = (2 * pixel.Column / wide) - 1;
                double down = (2 * pixel.Row / tall) - 1;
                double square = ((across * across * wide * wide) + (down * down * tall * tall)) / diagonal;
                float green = canopy[place];
                Put(shared, green, look.Kernels);
                shared[Lens] = (float)square;
                shared[Lens + 1] = (float)(square * square);
                shared[Lens + 2] = (float)across;
                shared[Lens + 3] = (float)down;
                samples.Add(
                    capture,
                    NodePlace.At(rows, columns, pixel.Row / tall, pixel.Column / wide),
                    Math.Log(found - offsets[capture]),
                    shared
                );
            }

            samples.EndPlace();
        }

        return samples;
    }

    private static void Put(Span<float> shared, float green, ViewAngleKernels kernels)
    {
        shared[0] = green * (float)kernels.Volume;
        shared[1] = green * (float)kernels.Geometry;
        shared[2] = green * (float)kernels.Slant;
        shared[3] = (1 - green) * (float)kernels.Volume;
        shared[4] = (1 - green) * (float)kernels.Geometry;
        shared[5] = (1 - green) * (float)kernels.Slant;
    }

    private void AddShared(GainProblem problem, CameraBand band)
    {
        double falloff = band.Vignetting == Vignetting.None ? settings.UnknownFalloffSigma : settings.FalloffSigma;
        double[] sigmas =
        [
            settings.VolumeSigma,
            settings.GeometrySigma,
            settings.SlantSigma,
            settings.VolumeSigma,
            settings.GeometrySigma,
            settings.SlantSigma,
            falloff,
            falloff,
            settings.LensTiltSigma,
            settings.LensTiltSigma,
        ];
        for (int index = 0; index < sigmas.Length; index++)
        {
            problem.Add(GainPrior.Of(problem.SharedStart + index, 0, sigmas[index]));
        }
    }

    /// <summary>Neighbouring nodes are alike but for clouds' edges.</summary>
    private void AddNodes(GainProblem problem, int rows, int columns)
    {
        for (int capture = 0; capture < captures.Count; capture++)
        {
            for (int node = 0; node < rows * columns; node++)
            {
                if ((node % columns) + 1 < columns)
                {
                    Tie(node, node + 1);
                }

                if (node + columns < rows * columns)
                {
                    Tie(node, node + columns);
                }

                void Tie(int one, int other) =>
                    problem.Add(
                        new GainPrior(
                            [problem.NodeIndex(capture, one), problem.NodeIndex(capture, other)],
                            [1, -1],
                            0,
                            settings.NodeStep,
                            MayJump: true
                        )
                    );
            }
        }
    }

    private void AddLight(
        GainProblem problem,
        int bandIndex,
        LightCourse course,
        int looks,
        int tilt,
        int rows,
        int columns
    )
    {
        problem.Add(GainPrior.Of(tilt, 0, settings.MountSigmaRadians));
        problem.Add(GainPrior.Of(tilt + 1, 0, settings.MountSigmaRadians));
        problem.Add(GainPrior.Of(tilt + 2, 0, 3));
        NodePlace middle = NodePlace.At(rows, columns, 0.5, 0.5);
        for (int look = 0; look < looks; look++)
        {
            LightMoment moment = course.Looks[look];
            int unknown = problem.FurtherStart + look;
            problem.Add(
                new GainPrior(
                    [unknown, tilt, tilt + 1],
                    [1, -moment.PerRightTilt, -moment.PerNoseTilt],
                    0,
                    moment.Watched ? settings.ReadingSigma : settings.UnwatchedSigma
                )
            );
            if (course.Steady && moment.Watched && moment.IsClear)
            {
                problem.Add(
                    new GainPrior(
                        [unknown, tilt + 2],
                        [1, 1],
                        moment.LogLight - moment.LogCourse,
                        settings.SteadyLightStep * 2
                    )
                );
            }
        }

        for (int capture = 0; capture < captures.Count; capture++)
        {
            LightMoment moment = course.Captures[capture];
            if (course.Steady)
            {
                problem.Add(
                    problem.AtPlace(
                        capture,
                        middle,
                        [(tilt + 2, 1)],
                        moment.LogLight - moment.LogCourse,
                        settings.SteadyLightStep
                    )
                );
            }

            (double row, double column) = captures[capture].Beam[bandIndex] ?? (0.5, 0.5);
            (double nearRow, double nearColumn) = (Math.Clamp(row, -0.1, 1.1), Math.Clamp(column, -0.1, 1.1));
            double outside = Math.Sqrt(Square(row - nearRow) + Square(column - nearColumn));
            double away = course.PerMetre * outside * captures[capture].HeightMetres;
            problem.Add(
                moment.Watched
                    ? problem.AtPlace(
                        capture,
                        NodePlace.At(rows, columns, nearRow, nearColumn),
                        [(tilt, -moment.PerRightTilt), (tilt + 1, -moment.PerNoseTilt)],
                        0,
                        Math.Sqrt(Square(settings.ReadingSigma) + Square(away))
                    )
                    : problem.AtPlace(capture, middle, [], 0, settings.UnwatchedSigma)
            );
        }
    }

    private BandLight Result(
        GainProblem problem,
        GainSolution solution,
        CameraBand band,
        int bandIndex,
        LightCourse course,
        int looks,
        int rows,
        int columns,
        double[] drift
    )
    {
        ReadOnlySpan<double> values = solution.Values;
        double atLooks = looks == 0 ? 0 : Mean(values.Slice(problem.FurtherStart, looks));
        double[] level = new double[problem.Unknowns];
        double[] own = new double[problem.Unknowns];
        NodePlace middle = NodePlace.At(rows, columns, 0.5, 0.5);
        int sample = captures.Count / 2;
        for (int capture = 0; capture < captures.Count; capture++)
        {
            Span<double> nodes = level.AsSpan(capture * problem.NodesPerCapture, problem.NodesPerCapture);
            middle.Spread(1.0 / captures.Count, nodes);
            nodes = own.AsSpan(capture * problem.NodesPerCapture, problem.NodesPerCapture);
            middle.Spread((capture == sample ? 1 : 0) - (1.0 / captures.Count), nodes);
        }

        for (int look = 0; look < looks; look++)
        {
            level[problem.FurtherStart + look] = -1.0 / looks;
        }

        double[] centres = new double[captures.Count];
        for (int capture = 0; capture < captures.Count; capture++)
        {
            centres[capture] = middle.Of(values.Slice(capture * problem.NodesPerCapture, problem.NodesPerCapture));
        }

        double unwatched = course.Watched ? 0 : Math.Max(0.02, Spread(centres));
        double levelSigma = Math.Sqrt(
            Square(course.Watched ? GainSolver.SigmaOf(problem, solution, level) : 0) + Square(unwatched)
        );
        double ownSigma = GainSolver.SigmaOf(problem, solution, own);
        (double before, double after) = OverlapScatter.Of(problem, solution, rows, columns);
        // Under steady light a capture's own error is what the solution says; under clouds the field within frames is
        // coarser than the light, and what cells of frames disagree by is left in.
        double field = course.Steady ? 0 : after;
        double relative = Math.Sqrt(Square(levelSigma) + Square(ownSigma) + Square(field));
        List<CaptureLight> lights = [];
        for (int capture = 0; capture < captures.Count; capture++)
        {
            CaptureLooks of = captures[capture];
            if (!input.Frames.Has(of.Capture.Id, band.Name))
            {
                continue;
            }

            ReadOnlySpan<double> nodes = values.Slice(capture * problem.NodesPerCapture, problem.NodesPerCapture);
            double common = -Math.Log(drift[capture]) - atLooks;
            double[] gains = new double[settings.CloudNodeRows * settings.CloudNodeColumns];
            for (int node = 0; node < gains.Length; node++)
            {
                gains[node] = nodes.Length == 1 ? nodes[0] + common : nodes[node] + common;
            }

            (double offset, double offsetSigma) = OffsetOf(band, of, bandIndex);
            lights.Add(new CaptureLight(of.Capture.Id, band.Name, gains, offset, relative, offsetSigma));
        }

        ReadOnlySpan<double> shared = values.Slice(problem.SharedStart, Regressors);
        return new BandLight(
            lights,
            new LensCorrection(
                band.Name,
                shared[Lens],
                shared[Lens + 1],
                shared[Lens + 2],
                shared[Lens + 3],
                settings.FalloffLeftSigma
            ),
            new ViewAngleModel(
                band.Name,
                new ViewAngleWeights(shared[0], shared[1], shared[2]),
                new ViewAngleWeights(shared[3], shared[4], shared[5])
            ),
            new OverlapAgreement(band.Name, problem.Samples.Looks, before, after, levelSigma),
            FormattableString.Invariant(
                $"Band {band.Name}: {problem.Samples.Looks} looks at {problem.Samples.Places} places; captures agreed to {100 * before:0.0} % before and {100 * after:0.0} % after, under {(course.Steady ? "steady light" : course.Watched ? "changing light" : "light that no sensor watched")}."
            )
        );
    }

    private static double Mean(ReadOnlySpan<double> values)
    {
        double sum = 0;
        foreach (double value in values)
        {
            sum += value;
        }

        return sum / values.Length;
    }

    private static double Spread(double[] values)
    {
        double mean = values.Average();
        return Math.Sqrt(values.Average(value => Square(value - mean)));
    }

    private static double Square(double value) => value * value;
}
