using Hillrow.Numerics;
using Hillrow.Numerics.LeastSquares;

namespace Hillrow.Imaging;

/// <summary>A lens found from pictures of a chess board.</summary>
/// <param name="Lens">One focal length for columns and rows: square pixels.</param>
/// <param name="Sigmas">Standard deviations in the order of <see cref="Lens.Parameters"/>, from the scatter of the corners.</param>
/// <param name="RmsPixels">Root mean square distance of a corner from where it was seen.</param>
/// <param name="PictureRmsPixels">The same for each picture.</param>
public sealed record BoardLensResult(
    BrownConradyLens Lens,
    IReadOnlyList<double> Sigmas,
    double RmsPixels,
    IReadOnlyList<double> PictureRmsPixels
);

/// <summary>One lens from corners of a flat board seen from several sides: least squares over lens and poses together.</summary>
/// <remarks>
/// Start: the focal length that makes the board's two directions square and alike in all pictures (Z. Zhang 2000, doi
/// 10.1109/34.888718, with the principal point in the middle and square pixels), then a resection of each picture.
/// Checked against OpenCV's solver on the same corners: the same least sum of squares.
/// </remarks>
public static class BoardLens
{
    public const int FewestPictures = 3;

    /// <summary>Focal length over picture width where the pictures settle none to start with; common practice, no source.</summary>
    private const double StartWidths = 1.2;

    private const double CostTolerance = 1e-12;

    /// <param name="rows">Of the pictures.</param>
    /// <param name="columns">Of the pictures.</param>
    /// <param name="cornersMillimetres">Of the board, z = 0.</param>
    /// <param name="pictures">At least <see cref="FewestPictures"/>, each a place for every corner.</param>
    /// <returns>Null when the pictures settle no lens: the board never tilted, or no pose sees it.</returns>
    public static BoardLensResult? Solve(
        int rows,
        int columns,
        IReadOnlyList<Vector3D> cornersMillimetres,
        IReadOnlyList<IReadOnlyList<PixelPoint>> pictures
    )
    {
        ArgumentNullException.ThrowIfNull(cornersMillimetres);
        ArgumentNullException.ThrowIfNull(pictures);
        if (pictures.Count < FewestPictures || pictures.Any(seen => seen.Count != cornersMillimetres.Count))
        {
            throw new ArgumentException(
                $"A lens needs at least {FewestPictures} pictures with a place for each of {cornersMillimetres.Count} corners.",
                nameof(pictures)
            );
        }

        double[] unknowns = new double[BoardSights.LensUnknowns];
        (unknowns[0], unknowns[1], unknowns[2]) = (
            StartFocal(rows, columns, cornersMillimetres, pictures),
            columns / 2.0,
            rows / 2.0
        );
        BrownConradyLens start = BoardSights.LensOf(rows, columns, unknowns);
        BlockProblem problem = new(3, []);
        foreach (IReadOnlyList<PixelPoint> seen in pictures)
        {
            if (Resection.Solve(start, cornersMillimetres, seen) is not { } resected)
            {
                return null;
            }

            _ = problem.AddSharedBlock(BoardSights.ValuesOf(resected.Pose), BoardSights.PoseStep, BoardSights.Move);
        }

        int lens = problem.AddSharedBlock(unknowns);
        BoardSights sights = new(rows, columns, cornersMillimetres, pictures);
        problem.AddResiduals(sights);
        using BlockSolver solver = new(problem, new BlockSolverSettings { CostTolerance = CostTolerance });
        BlockSolverSummary summary = solver.Solve();
        return summary.Converged && solver.Covariance() is { } covariance
            ? Result(problem, lens, sights, covariance.OfShared(lens), rows, columns)
            : null;
    }

    private static BoardLensResult Result(
        BlockProblem problem,
        int lens,
        BoardSights sights,
        double[] covariance,
        int rows,
        int columns
    )
    {
        BrownConradyLens found = BoardSights.LensOf(rows, columns, problem.SharedValues(lens));
        (double all, double[] each) = sights.SquaresOf(
            found,
            picture => BoardSights.PoseOf(problem.SharedValues(picture))
        );
        int free = (2 * sights.Count) - (BoardSights.PoseStep * lens) - BoardSights.LensUnknowns;
        double variance = all / Math.Max(1, free);
        int corners = sights.Count / lens;
        double Sigma(int unknown) => Math.Sqrt(variance * covariance[(unknown * BoardSights.LensUnknowns) + unknown]);
        return new BoardLensResult(
            found,
            [Sigma(0), .. Enumerable.Range(0, BoardSights.LensUnknowns).Select(Sigma)],
            Math.Sqrt(all / sights.Count),
            [.. each.Select(squares => Math.Sqrt(squares / corners))]
        );
    }

    /// <summary>With ω = diag(1/f², 1/f², 1): h₁ᵀω h₂ = 0 and h₁ᵀω h₁ = h₂ᵀω h₂ for the columns of each picture's homography.</summary>
    private static double StartFocal(
        int rows,
        int columns,
        IReadOnlyList<Vector3D> corners,
        IReadOnlyList<IReadOnlyList<PixelPoint>> pictures
    )
    {
        PixelPoint[] flat = [.. corners.Select(corner => new PixelPoint(corner.X, corner.Y))];
        (double products, double squares) = (0, 0);
        foreach (IReadOnlyList<PixelPoint> seen in pictures)
        {
            PixelPoint[] centred =
            [
                .. seen.Select(place => new PixelPoint(place.Column - (columns / 2.0), place.Row - (rows / 2.0))),
            ];
            if (Homography.Estimate(flat, centred) is not { Matrix: var h })
            {
                continue;
            }

            // Homographies have a scale of their own: without it near pictures would outweigh far ones.
            double scale = 1 / ((h.M11 * h.M11) + (h.M21 * h.M21) + (h.M12 * h.M12) + (h.M22 * h.M22));
            foreach (
                (double flatPart, double deepPart) in (ReadOnlySpan<(double, double)>)
                    [
                        ((h.M11 * h.M12) + (h.M21 * h.M22), h.M31 * h.M32),
                        (
                            (h.M11 * h.M11) + (h.M21 * h.M21) - (h.M12 * h.M12) - (h.M22 * h.M22),
                            (h.M31 * h.M31) - (h.M32 * h.M32)
                        ),
                    ]
            )
            {
                products += scale * flatPart * scale * deepPart;
                squares += scale * deepPart * scale * deepPart;
            }
        }

        // f² = −Σ flat·deep / Σ deep²: solved for f², as tilt puts its noise into the flat part.
        double squared = -products / squares;
        double usual = StartWidths * Math.Max(rows, columns);
        return squared > 0 && double.IsFinite(squared) ? Math.Clamp(Math.Sqrt(squared), usual / 10, usual * 20) : usual;
    }
}
