using Hillrow.Numerics;

namespace Hillrow.Imaging;

/// <summary>A flat board of alternating dark and bright squares, by the corners where four squares meet.</summary>
/// <param name="CornersAcross">Inner corners along one side, at least 3.</param>
/// <param name="CornersDown">Along the other, at least 3.</param>
/// <param name="SquareMillimetres">Side of a square, above 0. A lens does not depend on it; distances to the board do.</param>
public sealed record ChessBoard(int CornersAcross, int CornersDown, double SquareMillimetres)
{
    public int CornerCount => CornersAcross * CornersDown;

    /// <summary>Corners row by row in the board's own frame, millimetres; the board is z = 0.</summary>
    public IReadOnlyList<Vector3D> CornersMillimetres() =>
        [
            .. Enumerable
                .Range(0, CornerCount)
                .Select(corner => new Vector3D(
                    corner % CornersAcross * SquareMillimetres,
                    corner / CornersAcross * SquareMillimetres,
                    0
                )),
        ];
}
