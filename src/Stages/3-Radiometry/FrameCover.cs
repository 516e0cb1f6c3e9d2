using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Radiometry;

/// <summary>Share of canopy of each pixel of one band's frame, from the red and near infrared frames of the same capture.</summary>
/// <remarks>
/// Frames are laid on one another at one distance: with lenses some centimetres apart, ground half as high again or half as near moves
/// by a pixel at most.
/// </remarks>
internal sealed class FrameCover
{
    /// <summary>Places are projected at every so many pixels, and led straight between.</summary>
    private const int Stride = 32;

    private readonly (float Row, float Column)[] red;
    private readonly (float Row, float Column)[] infrared;
    private readonly int stopColumns;
    private readonly float[] redPicture;
    private readonly float[] infraredPicture;
    private readonly (int Rows, int Columns) redSize;
    private readonly (int Rows, int Columns) infraredSize;

    public FrameCover(
        SightedFrame frame,
        SightedFrame redFrame,
        float[] redPicture,
        SightedFrame infraredFrame,
        float[] infraredPicture,
        double distanceMetres
    )
    {
        (this.redPicture, this.infraredPicture) = (redPicture, infraredPicture);
        redSize = (redFrame.Lens.Rows, redFrame.Lens.Columns);
        infraredSize = (infraredFrame.Lens.Rows, infraredFrame.Lens.Columns);
        stopColumns = (frame.Lens.Columns / Stride) + 2;
        red = Places(frame, redFrame, stopColumns, distanceMetres);
        infrared = Places(frame, infraredFrame, stopColumns, distanceMetres);
    }

    /// <summary>0 open ground … 1 canopy; unknown beside the other frames' edges.</summary>
    public float At(int row, int column) =>
        CoverShare.Of(
            ValueOf(red, redPicture, redSize, row, column),
            ValueOf(infrared, infraredPicture, infraredSize, row, column)
        );

    private float ValueOf(
        (float Row, float Column)[] places,
        float[] picture,
        (int Rows, int Columns) size,
        int row,
        int column
    )
    {
        int at = (row / Stride * stopColumns) + (column / Stride);
        float across = ((column % Stride) + 0.5f) / Stride;
        float down = ((row % Stride) + 0.5f) / Stride;
        float r = Between(
            places[at].Row,
            places[at + 1].Row,
            places[at + stopColumns].Row,
            places[at + stopColumns + 1].Row
        );
        float c = Between(
            places[at].Column,
            places[at + 1].Column,
            places[at + stopColumns].Column,
            places[at + stopColumns + 1].Column
        );
        return r >= 0 && c >= 0 && r < size.Rows && c < size.Columns
            ? picture[((int)r * size.Columns) + (int)c]
            : float.NaN;

        float Between(float a, float b, float below, float belowRight)
        {
            float high = a + ((b - a) * across);
            float low = below + ((belowRight - below) * across);
            return high + ((low - high) * down);
        }
    }

    private static (float Row, float Column)[] Places(
        SightedFrame from,
        SightedFrame to,
        int stopColumns,
        double distanceMetres
    )
    {
        (float, float)[] places = new (float, float)[((from.Lens.Rows / Stride) + 2) * stopColumns];
        for (int stop = 0; stop < places.Length; stop++)
        {
            PixelPoint pixel = new(stop % stopColumns * Stride, stop / stopColumns * Stride);
            places[stop] =
                from.Lens.TryRayOf(pixel, out Vector3D ray)
                && to.Lens.TryProject(
                    to.Pose.ToCamera(
                        from.Pose.CentreLocalMetres + (from.Pose.ToLocalDirection(ray).Normalized() * distanceMetres)
                    ),
                    out PixelPoint there
                )
                    ? ((float)there.Row, (float)there.Column)
                    : (float.NaN, float.NaN);
        }

        return places;
    }
}
