using Hillrow.Numerics;
using Hillrow.Numerics.LeastSquares;
using Hillrow.TestSupport;
using Xunit;

namespace Hillrow.Imaging.Tests;

/// <summary>A lens drawn in a plain way apart from ours must come back from its pictures of a board.</summary>
[Collection("OpenCV")]
public sealed class BoardLensTests
{
    private static readonly BoardSpecimen Truth = new();
    private static readonly ChessBoard Board = new(Truth.CornersAcross, Truth.CornersDown, 1);

    [Fact]
    public void Solve_ExactCorners_GivesTheLensBack()
    {
        BoardLensResult? got = BoardLens.Solve(Truth.Rows, Truth.Columns, Board.CornersMillimetres(), Exact());
        Assert.NotNull(got);
        BrownConradyValues lens = got.Lens.Values;
        Assert.Equal(Truth.Focal, lens.FocalColumnsPixels, 1e-4);
        Assert.Equal(Truth.Focal, lens.FocalRowsPixels, 1e-4);
        Assert.Equal(Truth.CentreColumn, lens.PrincipalPoint.Column, 1e-4);
        Assert.Equal(Truth.CentreRow, lens.PrincipalPoint.Row, 1e-4);
        Assert.Equal(Truth.K1, lens.K1, 1e-5);
        Assert.Equal(Truth.K2, lens.K2, 1e-4);
        Assert.Equal(0, lens.K3, 1e-3);
        Assert.Equal(0, lens.P1, 1e-7);
        Assert.Equal(0, lens.P2, 1e-7);
        Assert.True(got.RmsPixels < 1e-5, $"{got.RmsPixels} px");
    }

    [Fact]
    public void Solve_NoisyCorners_TellsHowFarOffTheLensIs()
    {
        // Forty draws of noise: the misses of each value, in told sigmas, must scatter like a normal value of sigma 1.
        const int Draws = 40;
        const double Noise = 0.15;
        double[] truth = [Truth.Focal, Truth.Focal, Truth.CentreColumn, Truth.CentreRow, Truth.K1, Truth.K2, 0, 0, 0];
        double[] squares = new double[truth.Length];
        double rms = 0;
        SplittableRandom random = new(4711);
        for (int draw = 0; draw < Draws; draw++)
        {
            IReadOnlyList<PixelPoint>[] noisy =
            [
                .. Exact()
                    .Select(places =>
                        places
                            .Select(place => new PixelPoint(
                                place.Column + (Noise * random.NextGaussian()),
                                place.Row + (Noise * random.NextGaussian())
                            ))
                            .ToArray()
                    ),
            ];
            BoardLensResult got = BoardLens.Solve(Truth.Rows, Truth.Columns, Board.CornersMillimetres(), noisy)!;
            rms += got.RmsPixels / Draws;
            for (int value = 0; value < truth.Length; value++)
            {
                double off = (got.Lens.Parameters[value] - truth[value]) / got.Sigmas[value];
                squares[value] += off * off / Draws;
            }
        }

        // A mean of 40 squares of standard normal values has sigma √(2/40) = 0.22: limits at 4 sigma.
        Assert.All(squares, square => Assert.InRange(square, 0.1, 1.9));
        Assert.InRange(rms, Noise * 1.25, Noise * 1.42); // √2 of one coordinate's noise, less what 62 unknowns take up
    }

    [Fact]
    public void Solve_PicturesOfOneDirection_SettleNoLensOrSaySo()
    {
        BoardView straight = BoardSpecimen.Round[0];
        IReadOnlyList<PixelPoint>[] alike =
        [
            .. Enumerable
                .Range(0, 4)
                .Select(step => Places(straight with { TiltDegrees = 0, SwingDegrees = 0, Right = 0.3 * step })),
        ];
        BoardLensResult? got = BoardLens.Solve(Truth.Rows, Truth.Columns, Board.CornersMillimetres(), alike);
        Assert.True(got is null || !(got.Sigmas[0] < 1), $"focal length told ± {got?.Sigmas[0]} px");
    }

    [Fact]
    public void Slopes_AgreeWithDifferences()
    {
        BoardSights sights = new(Truth.Rows, Truth.Columns, Board.CornersMillimetres(), Exact());
        double[] lens = [420, 240, 180, -0.18, 0.05, 0.001, -0.002, 0.01];
        double[] pose = BoardSights.ValuesOf(
            new CameraPose(new Vector3D(2, 1, -12), Matrix3D.FromRotationVector(new Vector3D(0.3, -0.2, 0.5)))
        );
        const int Width = BoardSights.PoseStep + BoardSights.LensUnknowns;
        double[] Residuals(ReadOnlySpan<double> step)
        {
            double[] moved = new double[pose.Length];
            BoardSights.Move(pose, step[..BoardSights.PoseStep], moved);
            double[] changed = [.. lens];
            for (int unknown = 0; unknown < changed.Length; unknown++)
            {
                changed[unknown] += step[BoardSights.PoseStep + unknown];
            }

            return Evaluated(sights, moved, changed, []);
        }

        double[] jacobian = new double[2 * Width];
        _ = Evaluated(sights, pose, lens, jacobian);
        for (int unknown = 0; unknown < Width; unknown++)
        {
            const double Step = 1e-6;
            double[] forth = new double[Width];
            double[] back = new double[Width];
            (forth[unknown], back[unknown]) = (Step, -Step);
            (double[] a, double[] b) = (Residuals(forth), Residuals(back));
            for (int side = 0; side < 2; side++)
            {
                double slope = (a[side] - b[side]) / (2 * Step);
                Assert.Equal(slope, jacobian[(side * Width) + unknown], 1e-4 * (1 + Math.Abs(slope)));
            }
        }
    }

    [Fact]
    public void Find_DrawnBoards_LiesOnTheirCorners()
    {
        List<double> off = [];
        foreach (BoardView view in BoardSpecimen.Round)
        {
            IReadOnlyList<PixelPoint>? found = BoardCorners.Find(Truth.Pixels(view), Truth.Rows, Truth.Columns, Board);
            Assert.NotNull(found);
            foreach ((double column, double row) in Truth.Corners(view))
            {
                // A board may be read from its other end: each true corner needs one found near it.
                off.Add(
                    found.Min(place => Math.Sqrt(Math.Pow(place.Column - column, 2) + Math.Pow(place.Row - row, 2)))
                );
            }
        }

        // Steep boards are the hardest: the shape of a corner is fitted over a window that perspective bends.
        double rms = Math.Sqrt(off.Average(value => value * value));
        Assert.True(off.Max() < 0.4 && rms < 0.08, $"rms {rms:0.000} px, farthest {off.Max():0.000} px");
    }

    [Fact]
    public void Find_NoBoard_IsNull() => Assert.Null(BoardCorners.Find(new byte[200 * 200], 200, 200, Board));

    private static IReadOnlyList<PixelPoint>[] Exact() => [.. BoardSpecimen.Round.Select(Places)];

    private static PixelPoint[] Places(BoardView view) =>
        [.. Truth.Corners(view).Select(corner => new PixelPoint(corner.Column, corner.Row))];

    /// <summary>Residuals of the third corner of the first picture, and its slopes when asked.</summary>
    private static double[] Evaluated(BoardSights sights, double[] pose, double[] lens, double[] jacobian)
    {
        BlockProblem problem = new(3, []);
        for (int picture = 0; picture < BoardSpecimen.Round.Count; picture++)
        {
            _ = problem.AddSharedBlock(pose, BoardSights.PoseStep, BoardSights.Move);
        }

        _ = problem.AddSharedBlock(lens);
        double[] residuals = new double[2];
        Assert.True(sights.Evaluate([3], problem.Values(), residuals, jacobian));
        return residuals;
    }
}
