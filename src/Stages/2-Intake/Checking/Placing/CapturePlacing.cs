using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Numerics.LeastSquares;
using Hillrow.Sight;

namespace Hillrow.Intake;

/// <summary>Frames and ground as the check counts coverage with, and how they were had.</summary>
/// <param name="Frames">In the order given.</param>
/// <param name="Ground">Terrain, moved to where the pictures' parallax says it is.</param>
/// <param name="Told">How well edges are known.</param>
internal sealed record PlacedFrames(IReadOnlyList<SightedFrame> Frames, HeightField Ground, PlacingCheck Told);

/// <summary>
/// Places captures by each other's pictures, roughly and fast: thumbnails are laid onto the terrain, matched with their
/// neighbours, and one adjustment finds the drift of receiver and attitude and the height of the ground. Full placing is
/// the run's affair; this one serves footprints. Where the whole flight lies stays as the receiver says.
/// </summary>
internal static class CapturePlacing
{
    private const int LeastTies = 40;

    /// <summary>With fewer captures tied than this share, the recorded poses are used as they are.</summary>
    private const double LeastTiedShare = 0.5;

    /// <summary>A patch is found to within so many boxes; the rest is leaves seen from another side.</summary>
    private const double SightSigmaBoxes = 0.25;

    /// <summary>Rays that meet more narrowly tell no height.</summary>
    private const double LeastBaseToHeight = 0.06;

    /// <summary>In standard errors of a sight; worse ties are false.</summary>
    private const double WorstResidual = 5;

    /// <param name="frames">By the recorded poses.</param>
    /// <param name="captures">Of the frames, in the same order.</param>
    /// <param name="thumbnails">Of the frames; null where there is none.</param>
    /// <param name="ground">Terrain.</param>
    /// <param name="errors">Of the instruments, where captures state none.</param>
    /// <param name="threads">The result does not depend on it.</param>
    /// <param name="cancel">Stops it.</param>
    public static PlacedFrames Place(
        IReadOnlyList<SightedFrame> frames,
        IReadOnlyList<Capture> captures,
        IReadOnlyList<FrameThumbnail?> thumbnails,
        HeightField ground,
        InstrumentErrors errors,
        int threads,
        CancellationToken cancel
    )
    {
        double height = MiddleHeight(frames, ground);
        FrameThumbnail? any = thumbnails.FirstOrDefault(thumbnail => thumbnail is not null);
        errors = Stated(errors, captures);
        if (any is null || !double.IsFinite(height))
        {
            return AsRecorded(frames, ground, errors, height, 0);
        }

        double cell = height * frames[0].PixelAngleRadians * any.Box;
        ParallelOptions options = new() { MaxDegreeOfParallelism = threads, CancellationToken = cancel };
        GroundPicture[]?[] pictures = new GroundPicture[]?[frames.Count];
        Parallel.For(
            0,
            frames.Count,
            options,
            at =>
            {
                if (thumbnails[at] is { } small && GroundPicture.Of(small, frames[at], ground, cell) is { } full)
                {
                    GroundPicture half = full.Halved();
                    pictures[at] = [full, half, half.Halved()];
                }
            }
        );
        IReadOnlyList<(int First, int Second)> pairs = PicturePairs.Choose(
            [.. pictures.Select(one => one?[2])],
            LeastBaseToHeight * height / (4 * cell),
            options
        );
        IReadOnlyList<PatchTie>[] found = new IReadOnlyList<PatchTie>[pairs.Count];
        Parallel.For(
            0,
            pairs.Count,
            options,
            at =>
            {
                (int first, int second) = pairs[at];
                found[at] =
                [
                    .. PairMatching
                        .Match(pictures[first]!, pictures[second]!)
                        .Select(match => TieOf(match, first, second, frames, ground, cell))
                        .OfType<PatchTie>(),
                ];
            }
        );
        PatchTie[] ties = [.. found.SelectMany(one => one)];
        HashSet<int> tied = [.. ties.SelectMany(tie => new[] { tie.First, tie.Second })];
        if (ties.Length < LeastTies || tied.Count < LeastTiedShare * frames.Count)
        {
            return AsRecorded(frames, ground, errors, height, tied.Count);
        }

        double sigma = SightSigmaBoxes * frames[0].PixelAngleRadians * any.Box;
        PoseSolution solution = PoseSolution.Of(frames, captures, ties, errors, sigma, threads);
        // The loss lets false matches count for little in the poses; the ground is averaged plainly.
        Vector3D[] good = [.. solution.PointsLocalMetres.Where((_, tie) => solution.Misfits[tie] < WorstResidual)];
        return new PlacedFrames(
            solution.Frames,
            GroundOffset.Applied(ground, good, cell),
            new PlacingCheck(frames.Count, tied.Count, good.Length, EdgeSigma(errors, height, byPictures: true))
        );
    }

    private static PlacedFrames AsRecorded(
        IReadOnlyList<SightedFrame> frames,
        HeightField ground,
        InstrumentErrors errors,
        double height,
        int tied
    ) => new(frames, ground, new PlacingCheck(frames.Count, tied, 0, EdgeSigma(errors, height, byPictures: false)));

    /// <summary>
    /// Of one edge of a hole against the other. Tilt of a line that nothing beside it ties is left; without the
    /// pictures the footprint's size is as wrong as height and terrain. What moves the whole flight moves both edges.
    /// </summary>
    private static double EdgeSigma(InstrumentErrors errors, double height, bool byPictures)
    {
        if (!double.IsFinite(height))
        {
            return 0;
        }

        // From memory: half of a field of view of some 45° each way; terrain tiles are some 3 m off over a hundred metres.
        const double HalfView = 0.42;
        const double Terrain = 3;
        double tilt = 0.6 * height * errors.TiltRadians;
        double size = byPictures
            ? 0
            : HalfView * Math.Sqrt((errors.VerticalMetres * errors.VerticalMetres) + (Terrain * Terrain));
        return Math.Sqrt((tilt * tilt) + (size * size));
    }

    private static InstrumentErrors Stated(InstrumentErrors errors, IReadOnlyList<Capture> captures)
    {
        double[] across = [.. captures.Select(one => one.Position?.HorizontalSigmaMetres).OfType<double>().Order()];
        double[] up = [.. captures.Select(one => one.Position?.VerticalSigmaMetres).OfType<double>().Order()];
        return errors with
        {
            HorizontalMetres = across.Length > 0 ? Math.Max(0.02, across[across.Length / 2]) : errors.HorizontalMetres,
            VerticalMetres = up.Length > 0 ? Math.Max(0.03, up[up.Length / 2]) : errors.VerticalMetres,
        };
    }

    private static double MiddleHeight(IReadOnlyList<SightedFrame> frames, HeightField ground)
    {
        double[] heights =
        [
            .. frames
                .Select(frame => frame.Pose.CentreLocalMetres)
                .Select(at => at.Z - ground.HeightAt(at.X, at.Y))
                .Where(above => above > 1)
                .Order(),
        ];
        return heights.Length == 0 ? double.NaN : heights[heights.Length / 2];
    }

    private static PatchTie? TieOf(
        PatchMatch match,
        int first,
        int second,
        IReadOnlyList<SightedFrame> frames,
        HeightField ground,
        double cell
    )
    {
        Vector3D? one = OnGround(match.East * cell, match.North * cell, ground);
        Vector3D? other = OnGround(
            (match.East + match.ShiftEast) * cell,
            (match.North + match.ShiftNorth) * cell,
            ground
        );
        if (one is not { } a || other is not { } b)
        {
            return null;
        }

        Vector3D seen = frames[first].Pose.ToCamera(a);
        Vector3D again = frames[second].Pose.ToCamera(b);
        return new PatchTie(
            first,
            second,
            (seen.X / seen.Z, seen.Y / seen.Z),
            (again.X / again.Z, again.Y / again.Z),
            (a + b) / 2
        );
    }

    private static Vector3D? OnGround(double east, double north, HeightField ground)
    {
        double height = ground.HeightAt(east, north);
        return double.IsFinite(height) ? new Vector3D(east, north, height) : null;
    }
}
