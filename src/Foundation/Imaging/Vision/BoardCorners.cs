using OpenCvSharp;

namespace Hillrow.Imaging;

/// <summary>Finds a chess board's inner corners in a picture, by OpenCV.</summary>
/// <remarks>
/// First by the rounded shape of corners (A. Duda and U. Frese 2018, Accurate detection and localization of checkerboard
/// corners for calibration, BMVC), then, where that finds no whole board, by quadrangles with corners moved to where the
/// gradients around them meet.
/// </remarks>
public static class BoardCorners
{
    /// <summary>Half the window in which gradients are gathered; kept under half a square.</summary>
    private const int LargestHalfWindow = 11;

    private const int RefiningRounds = 100;
    private const double RefinedTo = 1e-3;

    /// <param name="grey">Rows × columns, 8 bit.</param>
    /// <param name="rows">Above 0.</param>
    /// <param name="columns">Above 0.</param>
    /// <param name="board">Every one of its corners must be seen.</param>
    /// <returns>Row by row of the board as <see cref="ChessBoard.CornersMillimetres"/>, or null when no whole board is seen.</returns>
    public static unsafe IReadOnlyList<PixelPoint>? Find(
        ReadOnlySpan<byte> grey,
        int rows,
        int columns,
        ChessBoard board
    )
    {
        ArgumentNullException.ThrowIfNull(board);
        Shapes.Check(grey, rows, columns);
        VisionLibrary.EnsureReady();
        Size size = new(board.CornersAcross, board.CornersDown);
        fixed (byte* pixels = grey)
        {
            using Mat picture = Mat.FromPixelData(rows, columns, MatType.CV_8UC1, (nint)pixels);
            if (
                Cv2.FindChessboardCornersSB(
                    picture,
                    size,
                    out Point2f[] found,
                    ChessboardFlags.NormalizeImage | ChessboardFlags.Accuracy
                )
            )
            {
                return Places(found);
            }

            if (!Cv2.FindChessboardCorners(picture, size, out found))
            {
                return null;
            }

            int half = Math.Clamp((int)(0.4 * ShortestStep(found, board)), 2, LargestHalfWindow);
            return Places(
                Cv2.CornerSubPix(
                    picture,
                    found,
                    new Size(half, half),
                    new Size(-1, -1),
                    new TermCriteria(CriteriaTypes.Eps | CriteriaTypes.MaxIter, RefiningRounds, RefinedTo)
                )
            );
        }
    }

    private static double ShortestStep(Point2f[] corners, ChessBoard board)
    {
        double shortest = double.PositiveInfinity;
        for (int corner = 0; corner < corners.Length; corner++)
        {
            if ((corner + 1) % board.CornersAcross != 0)
            {
                shortest = Math.Min(shortest, corners[corner].DistanceTo(corners[corner + 1]));
            }

            if (corner + board.CornersAcross < corners.Length)
            {
                shortest = Math.Min(shortest, corners[corner].DistanceTo(corners[corner + board.CornersAcross]));
            }
        }

        return shortest;
    }

    private static PixelPoint[] Places(Point2f[] corners) =>
        [.. corners.Select(corner => new PixelPoint(corner.X + 0.5, corner.Y + 0.5))];
}
