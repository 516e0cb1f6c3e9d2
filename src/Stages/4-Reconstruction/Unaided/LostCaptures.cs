using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Reconstruction;

/// <summary>
/// Looks for the captures that their recorded positions did not tie to the main part of a survey: by look among the
/// placed ones, then by the points they share with them.
/// </summary>
internal sealed class LostCaptures
{
    private const int Strongest = 1200;
    private const int NeighboursInOrder = 6;
    private const int AlikePerCapture = 6;
    private const int LeastPoints = 15;
    private const int MostRounds = 12;

    private readonly SurveyAdjustment adjustment;
    private readonly CaptureFeatures[] features;
    private readonly ParallelOptions options;

    public LostCaptures(SurveyAdjustment adjustment, CaptureFeatures[] features, ParallelOptions options)
    {
        this.adjustment = adjustment;
        this.features = features;
        this.options = options;
    }

    /// <summary>Ties by which captures were found, to go on with.</summary>
    public List<PairTies> Ties { get; } = [];

    /// <summary>Captures found, in the order of finding.</summary>
    public List<int> Found { get; } = [];

    /// <summary>Finds what can be found; poses of found captures are set in the adjustment.</summary>
    public void Find()
    {
        int[] part = SurveyParts.Of(adjustment.Points, features.Length);
        bool[] inMain = [.. part.Select(entry => entry == 0)];
        for (int round = 0; round < MostRounds; round++)
        {
            options.CancellationToken.ThrowIfCancellationRequested();
            int[] lost =
            [
                .. Enumerable
                    .Range(0, inMain.Length)
                    .Where(index => !inMain[index] && features[index].Count >= LeastPoints),
            ];
            if (lost.Length == 0)
            {
                return;
            }

            PointSights known = new([
                .. adjustment.Points.Where(point => point.Sightings.All(sight => inMain[sight.Capture])),
            ]);
            (CameraPose? Pose, List<PairTies> Ties)[] tried = new (CameraPose?, List<PairTies>)[lost.Length];
            bool[] main = inMain;
            Parallel.For(0, lost.Length, options, at => tried[at] = Try(lost[at], main, known));
            bool any = false;
            for (int at = 0; at < lost.Length; at++)
            {
                if (tried[at].Pose is { } pose)
                {
                    any = true;
                    adjustment.Poses[lost[at]] = pose;
                    inMain[lost[at]] = true;
                    Ties.AddRange(tried[at].Ties);
                    Found.Add(lost[at]);
                }
            }

            if (!any)
            {
                return;
            }

            // What the found ones see gives points to those next to them.
            List<TiePoint> kept = [.. adjustment.Points];
            adjustment.Triangulate(TrackBuilder.Build(Ties, features), 12);
            adjustment.Replace([.. kept, .. adjustment.Points]);
        }
    }

    private (CameraPose?, List<PairTies>) Try(int capture, bool[] inMain, PointSights known)
    {
        int[] candidates =
        [
            .. Enumerable
                .Range(capture - NeighboursInOrder, (2 * NeighboursInOrder) + 1)
                .Where(other => other >= 0 && other < inMain.Length && inMain[other])
                .Concat(AlikeCaptures.Of(capture, features, other => inMain[other], AlikePerCapture))
                .Distinct()
                .Order(),
        ];
        List<PairTies> ties = [];
        foreach (int other in candidates)
        {
            CapturePair pair = new(Math.Min(capture, other), Math.Max(capture, other), 1);
            (IReadOnlyList<FeatureTie> found, _) = LookMatch.Verified(
                features[pair.First],
                features[pair.Second],
                adjustment.Lens,
                Strongest
            );
            if (found.Count > 0)
            {
                ties.Add(new PairTies(pair, found));
            }
        }

        CameraPose? pose = PointSights.Pose(
            known.Of(capture, ties),
            features[capture],
            adjustment.Lens,
            LeastPoints,
            out _
        );
        return (pose, ties);
    }
}
