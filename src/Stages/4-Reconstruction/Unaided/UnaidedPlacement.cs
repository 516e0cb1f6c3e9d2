using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Reconstruction;

/// <summary>
/// Places captures by their pictures alone, in a frame of their own: a first pair, then one capture after another by the
/// points it shares, all adjusted together every so often.
/// </summary>
/// <remarks>
/// Scale is a guess until the world is told (<see cref="WorldFit"/>). Method: incremental structure from motion, N.
/// Snavely et al. 2006, doi 10.1145/1141911.1141964.
/// </remarks>
internal sealed class UnaidedPlacement
{
    /// <summary>Features compared with each other: all against all costs the square of it.</summary>
    private const int Strongest = 2000;

    /// <summary>Up to this many captures every two are compared.</summary>
    private const int AllPairsUpTo = 60;

    private const int AlikePerCapture = 12;
    private const int LeastPoints = 20;

    /// <summary>Rays of a first pair should cross at this angle (radians) at least; more is hardly better.</summary>
    private const double GoodAngle = 0.2;

    private readonly SurveyAdjustment adjustment;
    private readonly CaptureFeatures[] features;
    private readonly ReconstructionSettings settings;
    private readonly ParallelOptions options;

    public UnaidedPlacement(
        SurveyAdjustment adjustment,
        CaptureFeatures[] features,
        ReconstructionSettings settings,
        ParallelOptions options
    )
    {
        this.adjustment = adjustment;
        this.features = features;
        this.settings = settings;
        this.options = options;
    }

    /// <summary>Pairs whose ties two cameras can have seen.</summary>
    public IReadOnlyList<PairTies> Pairs { get; private set; } = [];

    /// <summary>Places all that can be; tells how many are placed (0: no pair to begin with).</summary>
    public int Run()
    {
        (int, int)[] candidates = [.. Candidates()];
        (PairTies Ties, RelativePose? Pose)[] found = new (PairTies, RelativePose?)[candidates.Length];
        Parallel.For(
            0,
            candidates.Length,
            options,
            index =>
            {
                (int first, int second) = candidates[index];
                (IReadOnlyList<FeatureTie> ties, RelativePose? pose) = LookMatch.Verified(
                    features[first],
                    features[second],
                    adjustment.Lens,
                    Strongest
                );
                found[index] = (new PairTies(new CapturePair(first, second, 1), ties), pose);
            }
        );
        Pairs = [.. found.Where(entry => entry.Pose is not null).Select(entry => entry.Ties)];
        IReadOnlyList<Track> tracks = TrackBuilder.Build(Pairs, features);
        Array.Fill(adjustment.Placed, false);
        foreach (
            (PairTies ties, RelativePose? pose) in found
                .Where(entry => entry.Pose is not null)
                .OrderByDescending(entry => Worth(entry.Ties, entry.Pose!))
                .Take(5)
        )
        {
            if (Begin(ties.Pair, pose!, tracks))
            {
                Grow(tracks);
                if (adjustment.Placed.Count(placed => placed) > 2)
                {
                    break;
                }
            }

            Array.Fill(adjustment.Placed, false);
        }

        return adjustment.Placed.Count(placed => placed);
    }

    /// <summary>Captures that may see common ground: all, or those that look most alike and the next in order.</summary>
    private IEnumerable<(int, int)> Candidates()
    {
        int count = features.Length;
        if (count <= AllPairsUpTo)
        {
            return Enumerable
                .Range(0, count)
                .SelectMany(first => Enumerable.Range(first + 1, count - first - 1).Select(second => (first, second)));
        }

        List<(int, int)>[] own = new List<(int, int)>[count];
        Parallel.For(
            0,
            count,
            options,
            index =>
                own[index] = [
                    .. AlikeCaptures
                        .Of(index, features, other => other != index, AlikePerCapture)
                        .Concat(Enumerable.Range(index + 1, Math.Min(4, count - index - 1)))
                        .Select(other => (Math.Min(index, other), Math.Max(index, other))),
                ]
        );
        return own.SelectMany(list => list).Distinct().Order();
    }

    /// <summary>Many ties, and rays that cross well.</summary>
    private double Worth(PairTies ties, RelativePose pose)
    {
        List<double> angles = [];
        foreach (FeatureTie tie in ties.Ties)
        {
            if (
                adjustment.Lens.TryRayOf(features[ties.Pair.First].Places[tie.First], out Vector3D here)
                && adjustment.Lens.TryRayOf(features[ties.Pair.Second].Places[tie.Second], out Vector3D there)
            )
            {
                angles.Add(Vector3D.Cross(here, pose.FirstToSecond.Transposed() * there).Length);
            }
        }

        angles.Sort();
        return Math.Min(ties.Ties.Count, 400) * Math.Min(GoodAngle, angles[angles.Count / 2]);
    }

    private bool Begin(CapturePair pair, RelativePose pose, IReadOnlyList<Track> tracks)
    {
        // The first looks straight down; the base is set so that the ground lies as deep as it usually does.
        Matrix3D down = new(1, 0, 0, 0, -1, 0, 0, 0, -1);
        double height = settings.TypicalHeightAboveGroundMetres;
        double length = height * GoodAngle;
        for (int round = 0; round < 3; round++)
        {
            adjustment.Poses[pair.First] = new CameraPose(new Vector3D(0, 0, height), down);
            adjustment.Poses[pair.Second] = new CameraPose(
                new Vector3D(0, 0, height) + (down.Transposed() * pose.CentreInFirst * length),
                pose.FirstToSecond * down
            );
            adjustment.Placed[pair.First] = true;
            adjustment.Placed[pair.Second] = true;
            adjustment.Triangulate(tracks, 12);
            if (adjustment.Points.Count < LeastPoints)
            {
                return false;
            }

            double[] depths = [.. adjustment.Points.Select(point => height - point.Place.Z).Order()];
            length *= height / Math.Max(1, depths[depths.Length / 2]);
        }

        _ = adjustment.SolveFree(4, 30);
        return adjustment.Points.Count >= LeastPoints;
    }

    private void Grow(IReadOnlyList<Track> tracks)
    {
        int adjusted = 2;
        bool settled = false;
        while (true)
        {
            options.CancellationToken.ThrowIfCancellationRequested();
            PointSights known = new(adjustment.Points);
            (int Capture, Dictionary<int, Vector3D> Seen)[] waiting =
            [
                .. Enumerable
                    .Range(0, features.Length)
                    .Where(capture => !adjustment.Placed[capture])
                    .Select(capture => (capture, known.Of(capture, Pairs)))
                    .Where(entry => entry.Item2.Count >= LeastPoints)
                    .OrderByDescending(entry => entry.Item2.Count)
                    .ThenBy(entry => entry.capture),
            ];
            int placed = 0;
            int most = waiting.Length == 0 ? 0 : waiting[0].Seen.Count;
            foreach ((int capture, Dictionary<int, Vector3D> seen) in waiting)
            {
                // Those that see far fewer points wait until there are more; but none waits for ever.
                if (placed > 0 && seen.Count < 0.6 * most)
                {
                    break;
                }

                if (PointSights.Pose(seen, features[capture], adjustment.Lens, LeastPoints, out _) is { } pose)
                {
                    adjustment.Poses[capture] = pose;
                    adjustment.Placed[capture] = true;
                    placed++;
                }
            }

            int now = adjustment.Placed.Count(entry => entry);
            if (placed == 0 && settled)
            {
                return;
            }

            adjustment.Triangulate(tracks, 12);
            if (placed == 0 || now >= adjusted * 1.15 || now < 12)
            {
                _ = adjustment.SolveFree(4, 20);
                _ = adjustment.DropWorse(8);
                adjustment.Triangulate(tracks, 10);
                adjusted = now;
                settled = placed == 0;
            }
        }
    }
}
