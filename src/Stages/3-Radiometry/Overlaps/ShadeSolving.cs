using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Radiometry;

/// <summary>Finds the shade of passing clouds from all bands together.</summary>
/// <remarks>
/// Shade dims all bands at once, each by its share of sunlight; a leaf where another capture saw soil brightens one
/// band and dims another. So the bands are summed with the weights that show shade best against that scatter, and the
/// sum is compared between captures like a band of its own.
/// </remarks>
internal sealed class ShadeSolving(
    OverlapInput input,
    OverlapSettings settings,
    IReadOnlyList<CaptureLooks> captures,
    IReadOnlyList<BandLooks> bands,
    float[] canopy,
    int places
)
{
    private const int FewestLooks = 40;

    private readonly int rows = settings.CloudNodeRows;
    private readonly int columns = settings.CloudNodeColumns;

    /// <summary>Null when too little overlaps.</summary>
    public ShadeField? Solve(CancellationToken cancel)
    {
        (double[] slopes, double[] weights) = ShadeWeights.Of(captures, bands);
        GainSamples samples = Samples(weights);
        if (samples.Looks < FewestLooks)
        {
            return null;
        }

        GainProblem problem = Problem(samples, weights);
        ShadeField field = Field(problem, GainSolver.Solve(problem, cancel: cancel), slopes);
        // A sensor beside the clouds tells no spread: then the shade that was found does.
        double spread = Math.Max(LightSpread(weights), StandingShade.SpreadOf(field.Nodes));
        return field with { StandingSigma = StandingShade.Sigma(SecondsOfPlaces(), spread) };
    }

    private GainSamples Samples(double[] weights)
    {
        List<(int Capture, OverlapLook Look)>[] byPlace = new List<(int, OverlapLook)>[places];
        for (int capture = 0; capture < captures.Count; capture++)
        {
            foreach (OverlapLook look in captures[capture].Looks)
            {
                (byPlace[look.Place] ??= []).Add((capture, look));
            }
        }

        BandLooks reference = bands[0];
        BandSensor sensor = reference.Band.Sensor;
        GainSamples samples = new(LookRegressors.Count);
        Span<float> shared = stackalloc float[LookRegressors.Count];
        for (int place = 0; place < places; place++)
        {
            foreach ((int capture, OverlapLook look) in byPlace[place] ?? [])
            {
                double log = 0;
                for (int band = 0; band < bands.Count; band++)
                {
                    log += weights[band] * (bands[band].LogOf(capture, look) - bands[band].LogFollow[capture]);
                }

                if (!double.IsFinite(log))
                {
                    continue;
                }

                PixelPoint pixel = look.Pixels[reference.Index];
                LookRegressors.Fill(shared, canopy[place], look.Kernels, pixel, sensor);
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

    /// <summary>From the first look at a place to the last, of places with two looks and more.</summary>
    private double[] SecondsOfPlaces()
    {
        DateTimeOffset[] first = new DateTimeOffset[places];
        DateTimeOffset[] last = new DateTimeOffset[places];
        int[] looks = new int[places];
        foreach (CaptureLooks capture in captures)
        {
            if (capture.Capture.TimeUtc is not { } time)
            {
                continue;
            }

            foreach (int place in capture.Looks.Select(look => look.Place))
            {
                first[place] = looks[place] == 0 || time < first[place] ? time : first[place];
                last[place] = looks[place] == 0 || time > last[place] ? time : last[place];
                looks[place]++;
            }
        }

        return
        [
            .. Enumerable
                .Range(0, places)
                .Where(place => looks[place] > 1)
                .Select(place => (last[place] - first[place]).TotalSeconds),
        ];
    }

    /// <summary>Standard deviation over the captures of the light's logarithm as the sensor told it; 0 where none did.</summary>
    private double LightSpread(double[] weights)
    {
        double[] light =
        [
            .. Enumerable
                .Range(0, captures.Count)
                .Select(capture =>
                    Enumerable.Range(0, bands.Count).Sum(band => weights[band] * bands[band].LogFollow[capture])
                ),
        ];
        double mean = light.Average();
        return Math.Sqrt(light.Average(value => Square(value - mean)));
    }

    private GainProblem Problem(GainSamples samples, double[] weights)
    {
        GainProblem problem = new(samples, captures.Count, rows * columns, 2);
        double falloff = bands.Max(band => LookRegressors.FalloffSigma(band.Band, settings));
        LookRegressors.AddPriors(problem, falloff, settings);
        LightNodes.Tie(problem, rows, columns, settings.NodeStep, mayJump: true);
        int tilt = problem.FurtherStart;
        problem.Add(GainPrior.Of(tilt, 0, settings.MountSigmaRadians));
        problem.Add(GainPrior.Of(tilt + 1, 0, settings.MountSigmaRadians));
        for (int capture = 0; capture < captures.Count; capture++)
        {
            if (!bands.All(band => band.Course.Captures[capture].Watched))
            {
                problem.Add(
                    problem.AtPlace(capture, NodePlace.At(rows, columns, 0.5, 0.5), [], 0, settings.UnwatchedSigma)
                );
                continue;
            }

            (double row, double column) = captures[capture].Beam[bands[0].Index] ?? (0.5, 0.5);
            (double nearRow, double nearColumn) = (Math.Clamp(row, -0.1, 1.1), Math.Clamp(column, -0.1, 1.1));
            double outside = Math.Sqrt(Square(row - nearRow) + Square(column - nearColumn));
            double away = bands.Max(band => band.Course.PerMetre) * outside * captures[capture].HeightMetres;
            double Summed(Func<BandLooks, double> of) =>
                Enumerable.Range(0, bands.Count).Sum(band => weights[band] * of(bands[band]));
            problem.Add(
                problem.AtPlace(
                    capture,
                    NodePlace.At(rows, columns, nearRow, nearColumn),
                    [
                        (tilt, -Summed(band => band.Course.Captures[capture].PerRightTilt)),
                        (tilt + 1, -Summed(band => band.Course.Captures[capture].PerNoseTilt)),
                    ],
                    Summed(band => band.LogFollow[capture]),
                    Math.Sqrt(Square(settings.ReadingSigma) + Square(away))
                )
            );
        }

        return problem;
    }

    private ShadeField Field(GainProblem problem, GainSolution solution, double[] slopes)
    {
        double[] level = new double[problem.Unknowns];
        double[] own = new double[problem.Unknowns];
        NodePlace middle = NodePlace.At(rows, columns, 0.5, 0.5);
        for (int capture = 0; capture < captures.Count; capture++)
        {
            int start = problem.NodeIndex(capture, 0);
            middle.Spread(1.0 / captures.Count, level.AsSpan(start, rows * columns));
            middle.Spread(
                (capture == captures.Count / 2 ? 1 : 0) - (1.0 / captures.Count),
                own.AsSpan(start, rows * columns)
            );
        }

        double[] byBand = new double[input.Frames.Bands.Count];
        for (int band = 0; band < bands.Count; band++)
        {
            byBand[bands[band].Index] = slopes[band];
        }

        double[][] nodes =
        [
            .. Enumerable
                .Range(0, captures.Count)
                .Select(capture => solution.Values.AsSpan(problem.NodeIndex(capture, 0), rows * columns).ToArray()),
        ];
        return new ShadeField(
            rows,
            columns,
            nodes,
            bands[0].Index,
            byBand,
            UnseenShade.Of(problem.Samples, nodes, rows, columns),
            GainSolver.SigmaOf(problem, solution, level),
            GainSolver.SigmaOf(problem, solution, own)
        );
    }

    private static double Square(double value) => value * value;
}
