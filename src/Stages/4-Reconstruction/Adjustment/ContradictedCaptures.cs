using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Reconstruction;

/// <summary>
/// Ties of glitter and of moving leaves are chance: most of them do not survive, and what is left of such a capture's
/// has bent its pose towards itself. So the pose is found anew from the spots that sound captures alone have placed; a
/// capture that is partly over land agrees with enough of those and keeps these sights and no others, any other is
/// taken out.
/// </summary>
internal static class ContradictedCaptures
{
    /// <summary>
    /// Share of its verified ties that a capture keeps, over the share that the survey's middle capture keeps: what all
    /// lose (leaves, soft pictures) is no sign of chance.
    /// </summary>
    private const double LeastShareLeft = 0.65;

    /// <summary>Largest distance of an agreeing spot while the pose is looked for: three errors of a spot of leaves.</summary>
    private const double AgreementPixels = 1.5;

    /// <summary>Agreeing spots that hold a capture: four times what six numbers ask for.</summary>
    private const int LeastAgreeing = 24;

    /// <summary>
    /// Of the spots that the capture is tied to. Chance ties lie anywhere within the search, ± 7 pixels: one in thirty is
    /// within 1.5 pixels, and some more of whichever pose has most.
    /// </summary>
    private const double LeastShareAgreeing = 0.12;

    /// <param name="adjustment">After sights that are off were dropped.</param>
    /// <param name="verified">Sights of each capture before.</param>
    /// <param name="ties">Ties of pairs that the sights were made of.</param>
    /// <param name="features">Of each capture.</param>
    /// <param name="options">Threads.</param>
    /// <returns>True when a pose was found anew, so that the survey must be solved again.</returns>
    public static bool Mend(
        SurveyAdjustment adjustment,
        int[] verified,
        IReadOnlyList<PairTies> ties,
        CaptureFeatures[] features,
        ParallelOptions options
    )
    {
        int[] left = adjustment.TiesPerCapture();
        double[] kept =
        [
            .. left.Select(
                (count, index) => adjustment.Placed[index] ? (double)count / Math.Max(1, verified[index]) : -1
            ),
        ];
        double[] order = [.. kept.Where(share => share >= 0).Order()];
        int[] suspects =
        [
            .. Enumerable
                .Range(0, left.Length)
                .Where(index =>
                    adjustment.Placed[index]
                    && (verified[index] == 0 || kept[index] < LeastShareLeft * order[order.Length / 2])
                ),
        ];
        if (suspects.Length == 0)
        {
            return false;
        }

        foreach (int suspect in suspects)
        {
            adjustment.Placed[suspect] = false;
        }

        List<TiePoint> sound =
        [
            .. adjustment
                .Points.Select(point =>
                    point with
                    {
                        Sightings = [.. point.Sightings.Where(sight => adjustment.Placed[sight.Capture])],
                    }
                )
                .Where(point => point.Sightings.Count >= 2),
        ];
        Dictionary<(int Capture, int Feature), int> pointOf = [];
        for (int point = 0; point < sound.Count; point++)
        {
            foreach (Sighting sight in sound[point].Sightings)
            {
                pointOf[(sight.Capture, sight.Feature)] = point;
            }
        }

        (CameraPose? Pose, List<(int Point, Sighting Sight)> Sights)[] found = new (CameraPose?, List<(int, Sighting)>)[
            suspects.Length
        ];
        Parallel.For(
            0,
            suspects.Length,
            options,
            at => found[at] = Again(suspects[at], Seen(suspects[at], ties, pointOf), sound, features, adjustment.Lens)
        );
        List<Sighting>[] more = [.. sound.Select(_ => new List<Sighting>())];
        bool any = false;
        for (int at = 0; at < suspects.Length; at++)
        {
            if (found[at].Pose is { } pose)
            {
                any = true;
                adjustment.Placed[suspects[at]] = true;
                adjustment.Poses[suspects[at]] = pose;
                foreach ((int point, Sighting sight) in found[at].Sights)
                {
                    more[point].Add(sight);
                }
            }
        }

        adjustment.Replace([
            .. sound.Select(
                (point, index) =>
                    more[index].Count == 0
                        ? point
                        : point with
                        {
                            Sightings = [.. point.Sightings.Concat(more[index]).OrderBy(sight => sight.Capture)],
                        }
            ),
        ]);
        return any;
    }

    /// <summary>Point of each feature of a capture that is tied to a sound one; features tied to two points are left out.</summary>
    private static Dictionary<int, int> Seen(
        int capture,
        IReadOnlyList<PairTies> ties,
        Dictionary<(int Capture, int Feature), int> pointOf
    )
    {
        Dictionary<int, int> seen = [];
        HashSet<int> torn = [];
        foreach (PairTies pair in ties)
        {
            bool first = pair.Pair.First == capture;
            if (!first && pair.Pair.Second != capture)
            {
                continue;
            }

            int other = first ? pair.Pair.Second : pair.Pair.First;
            foreach (FeatureTie tie in pair.Ties)
            {
                (int own, int theirs) = first ? (tie.First, tie.Second) : (tie.Second, tie.First);
                if (
                    pointOf.TryGetValue((other, theirs), out int point)
                    && !seen.TryAdd(own, point)
                    && seen[own] != point
                )
                {
                    _ = torn.Add(own);
                }
            }
        }

        foreach (int feature in torn)
        {
            _ = seen.Remove(feature);
        }

        return seen;
    }

    private static (CameraPose?, List<(int, Sighting)>) Again(
        int capture,
        Dictionary<int, int> seen,
        List<TiePoint> sound,
        CaptureFeatures[] features,
        Lens lens
    )
    {
        (int Feature, int Point)[] order =
        [
            .. seen.OrderBy(entry => entry.Key).Select(entry => (entry.Key, entry.Value)),
        ];
        List<(int Feature, int Point)> used = [];
        List<Vector3D> places = [];
        List<PixelPoint> rays = [];
        foreach ((int feature, int point) in order)
        {
            if (UnitPlace.TryOf(lens, features[capture].Places[feature], out PixelPoint ray))
            {
                used.Add((feature, point));
                places.Add(sound[point].Place);
                rays.Add(ray);
            }
        }

        int least = Math.Max(LeastAgreeing, (int)(LeastShareAgreeing * used.Count));
        if (
            used.Count < least
            || VisionPoses.Resect(places, rays, AgreementPixels / lens.Parameters[0]) is not { } rough
            || rough.Agreeing.Length < least
        )
        {
            return (null, []);
        }

        PixelPoint PixelOf(int index) => features[capture].Places[used[index].Feature];
        ResectionResult? sharp = Resection.Solve(
            lens,
            [.. rough.Agreeing.Select(index => places[index])],
            [.. rough.Agreeing.Select(PixelOf)],
            rough.Pose
        );
        if (sharp is null)
        {
            return (null, []);
        }

        SightedFrame frame = new(sharp.Pose, lens);
        List<(int, Sighting)> sights = [];
        HashSet<int> taken = [];
        for (int index = 0; index < used.Count; index++)
        {
            if (
                lens.TryProject(frame.Pose.ToCamera(places[index]), out PixelPoint pixel)
                && Math.Max(Math.Abs(pixel.Column - PixelOf(index).Column), Math.Abs(pixel.Row - PixelOf(index).Row))
                    <= AgreementPixels
                && taken.Add(used[index].Point)
            )
            {
                sights.Add(
                    (
                        used[index].Point,
                        new Sighting(
                            capture,
                            used[index].Feature,
                            PixelOf(index),
                            features[capture].Sizes[used[index].Feature]
                        )
                    )
                );
            }
        }

        return sights.Count >= least ? (sharp.Pose, sights) : (null, []);
    }
}
