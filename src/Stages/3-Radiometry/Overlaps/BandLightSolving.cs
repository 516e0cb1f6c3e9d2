using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Radiometry;

/// <summary>Sets up and solves one band's overlaps, the shade of passing clouds given.</summary>
internal sealed class BandLightSolving(
    OverlapInput input,
    OverlapSettings settings,
    IReadOnlyList<CaptureLooks> captures,
    BandLooks looks,
    ShadeField? shade,
    GroundSight sight,
    float[] canopy,
    int places
)
{
    private const int FewestLooks = 40;

    /// <summary>Beside the shared ones: the shade, its square, and the shade on canopy less that on soil.</summary>
    private const int ShadeRegressors = 3;

    /// <summary>Nodes of what a band has beside the shade: coarse, for the shade holds what is fine.</summary>
    private const int OwnRows = 2;
    private const int OwnColumns = 3;
    private const double OwnStep = 0.006;
    private const double OwnSigma = 0.02;

    /// <summary>How well a band's slope is known beforehand: told by the sensor, or reckoned.</summary>
    private const double ToldSlopeSigma = 0.04;
    private const double ReckonedSlopeSigma = 0.1;

    /// <summary>Skylight bends the slope, and leaves look otherwise in shade than in sun, by about so much.</summary>
    private const double SlopeChangeSigma = 0.08;

    /// <summary>One look at the panel beside its light: angle, stray light, falloff left over.</summary>
    private const double PanelLookSigma = 0.008;

    private readonly int regressors = LookRegressors.Count + (shade is null ? 0 : ShadeRegressors);
    private readonly int rows = shade is null ? 1 : OwnRows;
    private readonly int columns = shade is null ? 1 : OwnColumns;

    private int ShadeStart(GainProblem problem) => problem.SharedStart + LookRegressors.Count;

    /// <summary>Null when too little overlaps.</summary>
    public BandLight? Solve(CancellationToken cancel)
    {
        GainSamples samples = Samples();
        if (samples.Looks < FewestLooks)
        {
            return null;
        }

        // Further unknowns: the light's error at each look at the panel, two tilts of the sensor, the steady level.
        int panels = looks.Course.Looks.Count;
        GainProblem problem = new(samples, captures.Count, rows * columns, panels + 3);
        int tilt = problem.FurtherStart + panels;
        LookRegressors.AddPriors(problem, LookRegressors.FalloffSigma(looks.Band, settings), settings);
        if (shade is not null)
        {
            AddShade(problem);
        }

        AddLight(problem, looks.Course, panels, tilt);
        GainSolution solution = GainSolver.Solve(problem, cancel: cancel);
        return Result(problem, solution, panels, cancel);
    }

    private GainSamples Samples()
    {
        List<(int Capture, OverlapLook Look)>[] byPlace = new List<(int, OverlapLook)>[places];
        for (int capture = 0; capture < captures.Count; capture++)
        {
            foreach (OverlapLook look in captures[capture].Looks)
            {
                (byPlace[look.Place] ??= []).Add((capture, look));
            }
        }

        GainSamples samples = new(regressors);
        Span<float> shared = stackalloc float[LookRegressors.Count + ShadeRegressors];
        shared = shared[..regressors];
        BandSensor sensor = looks.Band.Sensor;
        for (int place = 0; place < places; place++)
        {
            foreach ((int capture, OverlapLook look) in byPlace[place] ?? [])
            {
                double log = looks.LogOf(capture, look) - (shade is null ? 0 : looks.LogFollow[capture]);
                if (!double.IsFinite(log))
                {
                    continue;
                }

                PixelPoint pixel = look.Pixels[looks.Index];
                LookRegressors.Fill(shared, canopy[place], look.Kernels, pixel, sensor);
                if (shade is not null)
                {
                    if (!float.IsFinite(look.Reflectance[shade.ReferenceBand]))
                    {
                        continue;
                    }

                    BandSensor reference = input.Profile.Band(input.Frames.Bands[shade.ReferenceBand]).Sensor;
                    PixelPoint at = look.Pixels[shade.ReferenceBand];
                    float dark = (float)shade.At(capture, at.Row / reference.Rows, at.Column / reference.Columns);
                    shared[LookRegressors.Count] = -dark;
                    shared[LookRegressors.Count + 1] = -dark * dark;
                    shared[LookRegressors.Count + 2] = -dark * (canopy[place] - 0.5f);
                }

                samples.Add(
                    capture,
                    NodePlace.At(rows, columns, pixel.Row / sensor.Rows, pixel.Column / sensor.Columns),
                    log,
                    shared
                );
            }

            samples.EndPlace();
        }

        return samples;
    }

    private void AddShade(GainProblem problem)
    {
        int start = ShadeStart(problem);
        double slope = shade!.Slopes[looks.Index];
        problem.Add(GainPrior.Of(start, slope, slope * (looks.Course.Watched ? ToldSlopeSigma : ReckonedSlopeSigma)));
        problem.Add(GainPrior.Of(start + 1, 0, SlopeChangeSigma));
        problem.Add(GainPrior.Of(start + 2, 0, SlopeChangeSigma));
        LightNodes.Tie(problem, rows, columns, OwnStep, mayJump: false);
        for (int unknown = 0; unknown < problem.SharedStart; unknown++)
        {
            problem.Add(GainPrior.Of(unknown, 0, OwnSigma));
        }
    }

    /// <summary>The shade at a place of the band's frame, as further unknowns of a prior on the light there.</summary>
    private (int Unknown, double Coefficient)[] ShadeAt(GainProblem problem, int capture, double row, double column)
    {
        if (shade is null)
        {
            return [];
        }

        double dark = shade.At(capture, row, column);
        return [(ShadeStart(problem), dark), (ShadeStart(problem) + 1, dark * dark)];
    }

    private void AddLight(GainProblem problem, LightCourse course, int panels, int tilt)
    {
        problem.Add(GainPrior.Of(tilt, 0, settings.MountSigmaRadians));
        problem.Add(GainPrior.Of(tilt + 1, 0, settings.MountSigmaRadians));
        problem.Add(GainPrior.Of(tilt + 2, 0, 3));
        NodePlace middle = NodePlace.At(rows, columns, 0.5, 0.5);
        for (int look = 0; look < panels; look++)
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
            if (look > 0 && double.IsFinite(looks.PanelLogs[look] - looks.PanelLogs[0]))
            {
                problem.Add(
                    new GainPrior(
                        [unknown, problem.FurtherStart],
                        [1, -1],
                        looks.PanelLogs[look] - looks.PanelLogs[0],
                        PanelLookSigma * Math.Sqrt(2)
                    )
                );
            }

            if (shade is null && course.Steady && moment.Watched && moment.IsClear)
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
            if (shade is null && course.Steady)
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

            (double row, double column) = captures[capture].Beam[looks.Index] ?? (0.5, 0.5);
            (double nearRow, double nearColumn) = (Math.Clamp(row, -0.1, 1.1), Math.Clamp(column, -0.1, 1.1));
            double outside = Math.Sqrt(Square(row - nearRow) + Square(column - nearColumn));
            double away = course.PerMetre * outside * captures[capture].HeightMetres;
            problem.Add(
                moment.Watched
                    ? problem.AtPlace(
                        capture,
                        NodePlace.At(rows, columns, nearRow, nearColumn),
                        [
                            (tilt, -moment.PerRightTilt),
                            (tilt + 1, -moment.PerNoseTilt),
                            .. ShadeAt(problem, capture, nearRow, nearColumn),
                        ],
                        shade is null ? 0 : looks.LogFollow[capture],
                        Math.Sqrt(Square(course.ReadingSigma) + Square(away))
                    )
                    : problem.AtPlace(capture, middle, ShadeAt(problem, capture, 0.5, 0.5), 0, settings.UnwatchedSigma)
            );
        }
    }

    private BandLight Result(GainProblem problem, GainSolution solution, int panels, CancellationToken cancel)
    {
        ReadOnlySpan<double> values = solution.Values;
        double atLooks = panels == 0 ? 0 : Mean(values.Slice(problem.FurtherStart, panels));
        double[] centres = new double[captures.Count];
        for (int capture = 0; capture < captures.Count; capture++)
        {
            centres[capture] = GainAt(problem, values, capture, 0.5, 0.5);
        }

        (double levelSigma, double ownSigma) = Sigmas(problem, solution, panels, centres);
        double[] even = new double[problem.Samples.Looks];
        Array.Fill(even, 1);
        double[] residuals = GainSolver.Residuals(problem, even, values);
        double before = OverlapScatter.OfCaptures(problem, GainSolver.Residuals(problem, even, Unlit(problem)));
        double after = OverlapScatter.OfCells(problem, residuals);
        double shaded = OverlapScatter.OfCellsBeyondLooks(problem, residuals);
        // Under clouds the cells' own part tells it place by place.
        double areas = shade is null ? shaded : 0;
        double common = Math.Sqrt(Square(levelSigma) + Square(ownSigma) + Square(areas));
        // Under steady light a capture's own error is what the solution says; under clouds what cells of frames
        // disagree by, and what lies between nodes, is added where it is.
        FrameCells? cells = shade is null
            ? null
            : FrameCells.Of(problem, residuals, settings.SigmaRows, settings.SigmaColumns);
        List<CaptureLight> lights = [];
        for (int capture = 0; capture < captures.Count; capture++)
        {
            CaptureLooks of = captures[capture];
            if (input.Frames.Has(of.Capture.Id, looks.Band.Name))
            {
                lights.Add(LightOf(problem, values, capture, atLooks, common, cells));
            }
        }

        const int Lens = LookRegressors.Lens;
        ReadOnlySpan<double> shared = values.Slice(problem.SharedStart, regressors);
        string light =
            shade is null && looks.Course.Steady ? "steady light"
            : looks.Course.Watched ? "changing light"
            : "light that no sensor watched";
        LensCorrection lens = new(
            looks.Band.Name,
            shared[Lens],
            shared[Lens + 1],
            shared[Lens + 2],
            shared[Lens + 3],
            settings.FalloffLeftSigma
        );
        return new BandLight(
            lights,
            lens,
            new ViewAngleModel(
                looks.Band.Name,
                CoverAngles.Solve(
                    CoverLooksOf(look => look.Canopy, problem, solution, lens),
                    captures.Count,
                    settings,
                    cancel
                ) ?? new ViewAngleWeights(shared[0], shared[1], shared[2]),
                CoverAngles.Solve(
                    CoverLooksOf(look => look.Open, problem, solution, lens),
                    captures.Count,
                    settings,
                    cancel
                ) ?? new ViewAngleWeights(shared[3], shared[4], shared[5])
            ),
            new OverlapAgreement(looks.Band.Name, problem.Samples.Looks, before, after, levelSigma) { Shaded = shaded },
            FormattableString.Invariant(
                $"Band {looks.Band.Name}: {problem.Samples.Looks} looks at {problem.Samples.Places} places; captures agreed to {100 * before:0.0} % before and {100 * after:0.0} % after, under {light}."
            )
        );
    }

    /// <summary>One class of every look in this light, place by place.</summary>
    private IEnumerable<CoverLook> CoverLooksOf(
        Func<OverlapLook, float[]> part,
        GainProblem problem,
        GainSolution solution,
        LensCorrection lens
    )
    {
        BandSensor sensor = looks.Band.Sensor;
        double diagonal = ((double)sensor.Rows * sensor.Rows) + ((double)sensor.Columns * sensor.Columns);
        List<CoverLook> found = [];
        for (int capture = 0; capture < captures.Count; capture++)
        {
            foreach (OverlapLook look in captures[capture].Looks)
            {
                float[] means = part(look);
                double log = means.Length == 0 ? double.NaN : looks.LogOf(capture, means[looks.Index]);
                if (!double.IsFinite(log))
                {
                    continue;
                }

                (double row, double column) = Share(look, looks.Index, sensor);
                (double down, double across) = ((2 * row) - 1, (2 * column) - 1);
                double square = (Square(across * sensor.Columns) + Square(down * sensor.Rows)) / diagonal;
                log += GainAt(problem, solution.Values, capture, row, column, look) - lens.At(across, down, square);
                log -= shade is null ? 0 : looks.LogFollow[capture];
                found.Add(new CoverLook(capture, look.Place, log, look.Kernels));
            }
        }

        return found.OrderBy(look => look.Place).ThenBy(look => look.Capture);
    }

    private static (double Row, double Column) Share(OverlapLook look, int band, BandSensor sensor) =>
        (look.Pixels[band].Row / sensor.Rows, look.Pixels[band].Column / sensor.Columns);

    /// <summary>The unknowns that leave the sensor's light as it was told.</summary>
    private double[] Unlit(GainProblem problem)
    {
        double[] values = new double[problem.Unknowns];
        for (int capture = 0; capture < captures.Count && shade is not null; capture++)
        {
            Array.Fill(values, looks.LogFollow[capture], problem.NodeIndex(capture, 0), problem.NodesPerCapture);
        }

        return values;
    }

    /// <summary>Logarithm of the gain at a place of the band's frame, over the survey's light.</summary>
    /// <param name="look">The look that is there, when there is one: it knows the place in the other bands.</param>
    private double GainAt(
        GainProblem problem,
        ReadOnlySpan<double> values,
        int capture,
        double row,
        double column,
        OverlapLook? look = null
    )
    {
        double gain = NodePlace
            .At(rows, columns, row, column)
            .Of(values.Slice(problem.NodeIndex(capture, 0), problem.NodesPerCapture));
        if (shade is null)
        {
            return gain;
        }

        (double down, double across) =
            look is not null && float.IsFinite(look.Reflectance[shade.ReferenceBand])
                ? Share(look, shade.ReferenceBand, input.Profile.Band(input.Frames.Bands[shade.ReferenceBand]).Sensor)
                : sight.InBand(capture, looks.Index, row, column, shade.ReferenceBand);
        double dark = shade.At(capture, down, across);
        ReadOnlySpan<double> slopes = values.Slice(ShadeStart(problem), 2);
        return gain + (dark * slopes[0]) + (dark * dark * slopes[1]);
    }

    private CaptureLight LightOf(
        GainProblem problem,
        ReadOnlySpan<double> values,
        int capture,
        double atLooks,
        double commonSigma,
        FrameCells? cells
    )
    {
        // In the sensor's own light again, that the frames' factors hold.
        double common = -Math.Log(looks.Drift[capture]) - atLooks - (shade is null ? 0 : looks.LogFollow[capture]);
        int gainRows = shade?.Rows ?? 1;
        int gainColumns = shade?.Columns ?? 1;
        double[] gains = new double[gainRows * gainColumns];
        for (int node = 0; node < gains.Length; node++)
        {
            (double row, double column) = ShareOf(node, gainRows, gainColumns);
            gains[node] = Math.Round(GainAt(problem, values, capture, row, column) + common, 5);
        }

        double[] sigmas = new double[cells is null ? 1 : cells.Rows * cells.Columns];
        for (int node = 0; node < sigmas.Length; node++)
        {
            double square = Square(commonSigma);
            if (cells is not null)
            {
                (double row, double column) = ShareOf(node, cells.Rows, cells.Columns);
                square +=
                    cells.VarianceOf(capture, node)
                    + Square(shade!.Slopes[looks.Index] * shade.SigmaAt(capture, row, column));
            }

            sigmas[node] = Math.Round(Math.Sqrt(square), 5);
        }

        return new CaptureLight(
            captures[capture].Capture.Id,
            looks.Band.Name,
            gains,
            looks.Offsets[capture],
            Math.Sqrt(sigmas.Average(Square)),
            looks.OffsetSigmas[capture]
        )
        {
            NodeSigmas = sigmas,
        };
    }

    private static (double Row, double Column) ShareOf(int node, int rows, int columns) =>
        (rows > 1 ? node / columns / (rows - 1.0) : 0.5, columns > 1 ? node % columns / (columns - 1.0) : 0.5);

    /// <summary>Standard error of the survey's level from the light alone, and of a capture's about it.</summary>
    private (double Level, double Own) Sigmas(GainProblem problem, GainSolution solution, int panels, double[] centres)
    {
        double[] level = new double[problem.Unknowns];
        double[] own = new double[problem.Unknowns];
        NodePlace middle = NodePlace.At(rows, columns, 0.5, 0.5);
        for (int capture = 0; capture < captures.Count; capture++)
        {
            int start = problem.NodeIndex(capture, 0);
            middle.Spread(1.0 / captures.Count, level.AsSpan(start, problem.NodesPerCapture));
            middle.Spread(
                (capture == captures.Count / 2 ? 1 : 0) - (1.0 / captures.Count),
                own.AsSpan(start, problem.NodesPerCapture)
            );
            foreach ((int unknown, double coefficient) in ShadeAt(problem, capture, 0.5, 0.5))
            {
                level[unknown] += coefficient / captures.Count;
            }
        }

        for (int look = 0; look < panels; look++)
        {
            level[problem.FurtherStart + look] = -1.0 / panels;
        }

        double slope = shade?.Slopes[looks.Index] ?? 0;
        double levelSquare = looks.Course.Watched
            ? Square(GainSolver.SigmaOf(problem, solution, level)) + Square(slope * (shade?.LevelSigma ?? 0))
            : Square(Math.Max(0.02, Spread(centres)));
        double ownSquare = Square(GainSolver.SigmaOf(problem, solution, own)) + Square(slope * (shade?.OwnSigma ?? 0));
        return (Math.Sqrt(levelSquare), Math.Sqrt(ownSquare));
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
