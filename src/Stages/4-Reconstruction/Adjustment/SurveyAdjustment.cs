using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Numerics.LeastSquares;
using Hillrow.Sight;

namespace Hillrow.Reconstruction;

/// <summary>The survey as it stands between rounds: poses, lens, tie points; solves for all of them together.</summary>
/// <remarks>Method: bundle adjustment (B. Triggs et al. 2000, doi 10.1007/3-540-44480-7_21).</remarks>
internal sealed class SurveyAdjustment
{
    /// <summary>Of a sortie's common turn between camera and attitude sensor, radians: mounts are set by hand.</summary>
    private const double CommonTurnSigma = 0.09;

    private const int SampledPoints = 300;

    private readonly SurveyPriors priors;
    private readonly Vector3D lever;
    private readonly Lens nominal;
    private readonly ReconstructionSettings settings;
    private readonly ReceiverDrift drift;
    private readonly CancellationToken cancel;

    /// <summary>How recorded positions stray from capture to capture; null until measured.</summary>
    private PositionJitter? receiver;

    /// <summary>What the lens's polynomial leaves over; null until measured, or when nothing is left.</summary>
    private ResidualGrid? field;

    /// <param name="priors">What was recorded.</param>
    /// <param name="profile">Of the camera.</param>
    /// <param name="settings">How.</param>
    /// <param name="cancel">Stops between the steps of a solution.</param>
    public SurveyAdjustment(
        SurveyPriors priors,
        CameraProfile profile,
        ReconstructionSettings settings,
        CancellationToken cancel = default
    )
    {
        this.cancel = cancel;
        this.priors = priors;
        this.settings = settings;
        lever = profile.AntennaFromLensMetres;
        nominal = profile.ReferenceBand.Lens;
        Lens = nominal;
        Poses = [.. priors.Captures.Select(prior => prior.Pose)];
        drift = new ReceiverDrift(priors);
        Sigmas = [.. Poses.Select(_ => (double.NaN, double.NaN))];
        Placed = [.. Poses.Select(_ => true)];
        PositionCounts = [.. priors.Captures.Select(prior => prior.HasPosition)];
        AttitudeCounts = [.. priors.Captures.Select(prior => prior.HasAttitude || prior.HasPosition)];
    }

    /// <summary>Captures that take part; the poses of the others are no more than recorded.</summary>
    public bool[] Placed { get; }

    /// <summary>Captures whose recorded position is believed.</summary>
    public bool[] PositionCounts { get; }

    /// <summary>Captures whose attitude, recorded or guessed from the track, is believed.</summary>
    public bool[] AttitudeCounts { get; }

    public CameraPose[] Poses { get; }

    public Lens Lens { get; private set; }

    public IReadOnlyList<TiePoint> Points { get; private set; } = [];

    /// <summary>Standard error of a coordinate (metres) and of a turn (radians) of each capture; NaN until asked for.</summary>
    public (double Metres, double Radians)[] Sigmas { get; }

    /// <summary>Median standard error of the tie points: east or north, and up, metres; NaN until asked for.</summary>
    public (double Plan, double Up) PointSigma { get; private set; } = (double.NaN, double.NaN);

    /// <summary>Control points with their marks.</summary>
    public IReadOnlyList<ControlSpot> Control { get; set; } = [];

    /// <summary>Recorded less solved position of a capture as far as it drifts, local metres.</summary>
    public Vector3D ReceiverError(int capture) => drift.At(capture);

    /// <summary>Null where a capture is not placed.</summary>
    public SightedFrame?[] PlacedFrames => [.. Frames.Select((frame, index) => Placed[index] ? frame : null)];

    public SightedFrame[] Frames => [.. Poses.Select(pose => new SightedFrame(pose, Lens))];

    /// <summary>Gives the tracks places from the poses as they stand; those whose sights disagree are left out.</summary>
    public void Triangulate(IReadOnlyList<Track> tracks, double tolerancePixels)
    {
        SightedFrame?[] frames = PlacedFrames;
        TiePoint?[] found = new TiePoint?[tracks.Count];
        Parallel.For(
            0,
            tracks.Count,
            new ParallelOptions { MaxDegreeOfParallelism = settings.Threads, CancellationToken = cancel },
            index =>
            {
                if (
                    RayMeeting.TryFind(
                        tracks[index].Sightings,
                        frames,
                        tolerancePixels,
                        out Vector3D place,
                        out List<Sighting> kept
                    ) && InFront(place, kept, frames)
                )
                {
                    found[index] = new TiePoint(place, kept);
                }
            }
        );
        Points = [.. found.OfType<TiePoint>()];
    }

    /// <summary>Moves everything solved so far; distances and turns between captures stay as they are.</summary>
    public void Move(SimilarityMove move)
    {
        for (int capture = 0; capture < Poses.Length; capture++)
        {
            Poses[capture] = move.Of(Poses[capture]);
        }

        Points = [.. Points.Select(point => point with { Place = move.Of(point.Place) })];
    }

    /// <summary>Goes on with other points.</summary>
    public void Replace(IReadOnlyList<TiePoint> points) => Points = points;

    /// <summary>Gives tie points the places that an earlier survey has for them.</summary>
    public void Know(IReadOnlyDictionary<int, KnownPlace> known) =>
        Points = [.. Points.Select((point, index) => point with { Known = known.GetValueOrDefault(index) })];

    /// <summary>Solves from the pictures alone: place, turn and scale of the whole stay about as they are.</summary>
    public BlockSolverSummary SolveFree(double lossPixels, int steps) =>
        Solve(lossPixels, farOff: true, steps, free: true);

    /// <summary>Solves; <paramref name="lossPixels"/> is where the Cauchy (or Huber, while far off) loss takes hold.</summary>
    public BlockSolverSummary Solve(
        double lossPixels,
        bool farOff,
        int steps,
        bool withSigmas = false,
        bool free = false,
        bool looseReceiver = false
    )
    {
        int tiePoints = Points.Count;
        double[] values = new double[3 * (tiePoints + Control.Count)];
        SightList sights = new(
            Points.Sum(point => point.Sightings.Count)
                + Control.Sum(spot => spot.Marks.Count(mark => Placed[mark.Capture]))
        );
        List<(int Point, KnownPlace Known)> earlier = [];
        List<(int Point, KnownPlace Known)> control = [];
        for (int index = 0; index < values.Length / 3; index++)
        {
            Vector3D place = index < tiePoints ? Points[index].Place : Control[index - tiePoints].Place;
            (values[3 * index], values[(3 * index) + 1], values[(3 * index) + 2]) = (place.X, place.Y, place.Z);
            if (index >= tiePoints)
            {
                ControlSpot spot = Control[index - tiePoints];
                control.Add((index, spot.Known));
                foreach (ControlSight mark in spot.Marks.Where(mark => Placed[mark.Capture]))
                {
                    sights.Add(mark.Capture, index, mark.Pixel, mark.SigmaPixels);
                }

                continue;
            }

            if (Points[index].Known is { } known)
            {
                earlier.Add((index, known));
            }

            foreach (Sighting sight in Points[index].Sightings)
            {
                sights.Add(sight.Capture, index, sight.Pixel, settings.SightSigmaPixels(sight.SizePixels));
            }
        }

        BlockProblem problem = new(3, values);
        int[] poseBlock = [.. Poses.Select(entry => PoseBlock.Add(problem, entry))];
        int[] turnBlock = new int[priors.SortieCount];
        for (int sortie = 0; sortie < priors.SortieCount; sortie++)
        {
            turnBlock[sortie] = problem.AddSharedBlock(new double[3]);
            problem.AddResiduals(
                ExpectedValues.Of(turnBlock[sortie], new double[3], [CommonTurnSigma, CommonTurnSigma, CommonTurnSigma])
            );
        }

        PositionJitter jitter =
            farOff || looseReceiver
                ? PositionJitter.Unknown
                : receiver ?? PositionJitter.From(priors.Captures, Poses, lever, PositionCounts);
        int[] nodeBlock = drift.AddTo(problem, jitter.DriftShare);
        int lensBlock = problem.AddSharedBlock([.. Lens.Parameters]);
        problem.AddResiduals(LensExpectation.Of(lensBlock, nominal));
        RobustLoss loss = farOff
            ? RobustLoss.Huber(lossPixels / settings.FeatureSigmaPixels)
            : RobustLoss.Cauchy(lossPixels / settings.FeatureSigmaPixels);
        problem.AddResiduals(
            new ReprojectionResiduals(
                Model(),
                lensBlock,
                [.. sights.Capture.Select(capture => poseBlock[capture])],
                sights.Point,
                sights.Pixel,
                sights.SigmaPixels,
                loss
            )
        );
        int[] all = [.. Enumerable.Range(0, Poses.Length)];
        foreach (int capture in all)
        {
            if (!Placed[capture])
            {
                problem.HoldShared(poseBlock[capture]);
            }
        }

        problem.AddResiduals(
            new PositionResiduals(
                priors.Captures,
                [.. all.Where(capture => !free && Placed[capture] && PositionCounts[capture])],
                poseBlock,
                drift,
                nodeBlock,
                [.. priors.Captures.Select(jitter.Of)],
                lever,
                farOff ? RobustLoss.Huber(3) : RobustLoss.Cauchy(4)
            )
        );
        problem.AddResiduals(
            new AttitudeResiduals(
                priors.Captures,
                [.. all.Where(capture => !free && Placed[capture] && AttitudeCounts[capture])],
                poseBlock,
                turnBlock,
                RobustLoss.Huber(3)
            )
        );
        if (earlier.Count > 0)
        {
            problem.AddResiduals(new KnownPlaces(earlier, RobustLoss.Cauchy(2)));
        }

        if (control.Count > 0)
        {
            problem.AddResiduals(new KnownPlaces(control, RobustLoss.Cauchy(4)));
        }

        using BlockSolver solver = new(
            problem,
            new BlockSolverSettings
            {
                MaximumSteps = steps,
                // Place, turn and scale of the whole cost next to nothing against all sights: they settle last.
                CostTolerance = farOff ? 1e-5 : 1e-10,
                InitialDamping = farOff ? 1e-4 : 1e-8,
                Threads = settings.Threads,
                Watch = _ => cancel.ThrowIfCancellationRequested(),
            }
        );
        cancel.ThrowIfCancellationRequested();
        BlockSolverSummary summary = solver.Solve();
        if (withSigmas)
        {
            TakeSigmas(solver, poseBlock);
        }

        drift.Take(problem, nodeBlock);
        Take(problem, poseBlock, lensBlock, values);
        return summary;
    }

    /// <summary>
    /// Drops sights off by more than the limit (that of a sharp feature; coarser ones may be off in proportion to their
    /// stated error), and points with fewer than two sights or too flat a crossing.</summary>
    /// <returns>How many sights were dropped.</returns>
    public int DropWorse(double limitPixels)
    {
        SightedFrame[] frames = Frames;
        List<TiePoint> kept = [];
        int dropped = 0;
        foreach (TiePoint point in Points)
        {
            List<Sighting> good =
            [
                .. point.Sightings.Where(sight => Miss(frames, sight, point.Place) <= limitPixels * Coarseness(sight)),
            ];
            dropped += point.Sightings.Count - good.Count;
            if (good.Count >= 2)
            {
                kept.Add(point with { Sightings = good });
            }
        }

        Points = kept;
        return dropped;
    }

    /// <summary>Distance between sight and projected point for every sight, pixels, in order.</summary>
    public double[] Misses()
    {
        SightedFrame[] frames = Frames;
        return [.. Points.SelectMany(point => point.Sightings.Select(sight => Miss(frames, sight, point.Place)))];
    }

    /// <summary>The same over how much less sharply each feature is placed than a sharp one.</summary>
    public double[] SharpMisses()
    {
        SightedFrame[] frames = Frames;
        return
        [
            .. Points.SelectMany(point =>
                point.Sightings.Select(sight => Miss(frames, sight, point.Place) / Coarseness(sight))
            ),
        ];
    }

    /// <summary>
    /// Finds how recorded positions stray from capture to capture; to be called when the poses were solved with a loose
    /// receiver. Poses that recorded positions held would agree with them, and seem to prove them better at every turn.
    /// </summary>
    public void MeasureReceiver() => receiver = PositionJitter.From(priors.Captures, Poses, lever, PositionCounts);

    /// <summary>
    /// Finds what the lens's polynomial leaves over, from where all sights lie beside their points. Points and poses take a part of
    /// it to themselves at first: solve and measure again.
    /// </summary>
    public void MeasureLens()
    {
        Lens polynomial = nominal.WithParameters([.. Lens.Parameters]);
        LensField found = new(polynomial.Rows, polynomial.Columns);
        foreach (TiePoint point in Points)
        {
            foreach (Sighting sight in point.Sightings)
            {
                if (polynomial.TryProject(Poses[sight.Capture].ToCamera(point.Place), out PixelPoint at))
                {
                    found.Add(sight.Capture, at, sight.Pixel, settings.SightSigmaPixels(sight.SizePixels));
                }
            }
        }

        field = found.Solve();
        Lens = Model().WithParameters([.. Lens.Parameters]);
    }

    /// <summary>Sights of each capture.</summary>
    public int[] TiesPerCapture()
    {
        int[] ties = new int[Poses.Length];
        foreach (TiePoint point in Points)
        {
            foreach (Sighting sight in point.Sightings)
            {
                ties[sight.Capture]++;
            }
        }

        return ties;
    }

    private Lens Model() => field is null ? nominal : new ResidualGridLens(nominal, field);

    private double Coarseness(Sighting sight) =>
        settings.SightSigmaPixels(sight.SizePixels) / settings.FeatureSigmaPixels;

    private static double Miss(SightedFrame[] frames, Sighting sight, Vector3D place)
    {
        SightedFrame frame = frames[sight.Capture];
        return frame.Lens.TryProject(frame.Pose.ToCamera(place), out PixelPoint pixel)
            ? Math.Sqrt(
                ((pixel.Column - sight.Pixel.Column) * (pixel.Column - sight.Pixel.Column))
                    + ((pixel.Row - sight.Pixel.Row) * (pixel.Row - sight.Pixel.Row))
            )
            : double.PositiveInfinity;
    }

    private static bool InFront(Vector3D place, List<Sighting> sightings, SightedFrame?[] frames) =>
        sightings.TrueForAll(sight => frames[sight.Capture]!.Pose.ToCamera(place).Z > 1);

    private void TakeSigmas(BlockSolver solver, int[] poseBlock)
    {
        if (solver.Covariance() is not { } covariance)
        {
            return;
        }

        for (int capture = 0; capture < Sigmas.Length; capture++)
        {
            double[] block = covariance.OfShared(poseBlock[capture]);
            double turn = 0;
            double shift = 0;
            for (int axis = 0; axis < 3; axis++)
            {
                turn += block[axis * (PoseBlock.StepSize + 1)] / 3;
                shift += block[(axis + 3) * (PoseBlock.StepSize + 1)] / 3;
            }

            Sigmas[capture] = (Math.Sqrt(shift), Math.Sqrt(turn));
        }

        // Every so many points tell what all are like; each costs as much as a pose.
        int step = Math.Max(1, Points.Count / SampledPoints);
        List<double> plan = [];
        List<double> up = [];
        for (int point = 0; point < Points.Count; point += step)
        {
            double[] block = covariance.OfPoint(point);
            plan.Add(Math.Sqrt((block[0] + block[4]) / 2));
            up.Add(Math.Sqrt(block[8]));
        }

        if (plan.Count > 0)
        {
            plan.Sort();
            up.Sort();
            PointSigma = (plan[plan.Count / 2], up[up.Count / 2]);
        }
    }

    private void Take(BlockProblem problem, int[] poseBlock, int lensBlock, double[] values)
    {
        for (int capture = 0; capture < Poses.Length; capture++)
        {
            Poses[capture] = PoseBlock.Pose(problem.SharedValues(poseBlock[capture]));
        }

        Lens = Model().WithParameters(problem.SharedValues(lensBlock));
        Vector3D Place(int point) => new(values[3 * point], values[(3 * point) + 1], values[(3 * point) + 2]);
        int tiePoints = Points.Count;
        Points = [.. Points.Select((point, index) => point with { Place = Place(index) })];
        Control = [.. Control.Select((spot, index) => spot with { Place = Place(tiePoints + index) })];
    }
}
