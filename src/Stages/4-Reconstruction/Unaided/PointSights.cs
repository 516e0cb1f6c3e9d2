using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Reconstruction;

/// <summary>Finds poses of captures from tie points that placed captures have: by ties with those captures.</summary>
internal sealed class PointSights
{
    /// <summary>Largest distance of an agreeing point; the lens may still be off its profile.</summary>
    private const double AgreementPixels = 8;

    private readonly Dictionary<(int Capture, int Feature), Vector3D> places = [];

    public PointSights(IReadOnlyList<TiePoint> points)
    {
        foreach (TiePoint point in points)
        {
            foreach (Sighting sight in point.Sightings)
            {
                places[(sight.Capture, sight.Feature)] = point.Place;
            }
        }
    }

    /// <summary>Features of a capture that are tied to known points.</summary>
    /// <param name="capture">Not placed yet.</param>
    /// <param name="pairs">Ties of pairs that the capture is one of; others are passed over.</param>
    public Dictionary<int, Vector3D> Of(int capture, IEnumerable<PairTies> pairs)
    {
        Dictionary<int, Vector3D> seen = [];
        foreach (PairTies pair in pairs)
        {
            bool first = pair.Pair.First == capture;
            if (!first && pair.Pair.Second != capture)
            {
                continue;
            }

            int other = first ? pair.Pair.Second : pair.Pair.First;
            foreach (FeatureTie tie in pair.Ties)
            {
                if (places.TryGetValue((other, first ? tie.Second : tie.First), out Vector3D place))
                {
                    _ = seen.TryAdd(first ? tie.First : tie.Second, place);
                }
            }
        }

        return seen;
    }

    /// <summary>The pose that most of the seen points agree on; null when too few do.</summary>
    /// <param name="seen">Point by feature.</param>
    /// <param name="features">Of the capture.</param>
    /// <param name="lens">As solved so far.</param>
    /// <param name="least">Fewest agreeing points.</param>
    /// <param name="agreeing">How many agree.</param>
    public static CameraPose? Pose(
        Dictionary<int, Vector3D> seen,
        CaptureFeatures features,
        Lens lens,
        int least,
        out int agreeing
    )
    {
        agreeing = 0;
        List<Vector3D> points = [];
        List<PixelPoint> pixels = [];
        List<PixelPoint> rays = [];
        foreach ((int feature, Vector3D place) in seen.OrderBy(entry => entry.Key))
        {
            if (UnitPlace.TryOf(lens, features.Places[feature], out PixelPoint ray))
            {
                points.Add(place);
                pixels.Add(features.Places[feature]);
                rays.Add(ray);
            }
        }

        if (
            points.Count < least
            || VisionPoses.Resect(points, rays, AgreementPixels / lens.Parameters[0]) is not { } found
        )
        {
            return null;
        }

        agreeing = found.Agreeing.Length;
        if (agreeing < Math.Max(least, points.Count / 3))
        {
            return null;
        }

        ResectionResult? sharp = Resection.Solve(
            lens,
            [.. found.Agreeing.Select(index => points[index])],
            [.. found.Agreeing.Select(index => pixels[index])],
            found.Pose
        );
        return sharp is { RmsPixels: < AgreementPixels } ? sharp.Pose : null;
    }
}
