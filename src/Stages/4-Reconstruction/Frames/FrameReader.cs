using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Reconstruction;

/// <summary>Reads the counts of one band's frame.</summary>
/// <param name="capture">Whose frame.</param>
/// <param name="frame">One of the capture's frames.</param>
/// <param name="counts">Receives Rows × Columns counts as stored, row-major.</param>
/// <exception cref="InputProblemException">The frame cannot be read or has another size than the profile says.</exception>
/// <remarks>Called from several threads at once.</remarks>
public delegate void FrameReader(Capture capture, BandFrame frame, Span<ushort> counts);

/// <summary>Makes readers of frames.</summary>
public static class FrameReaders
{
    /// <summary>Reads picture files below a folder.</summary>
    public static FrameReader FromFolder(string folder)
    {
        ArgumentException.ThrowIfNullOrEmpty(folder);
        return (capture, frame, counts) =>
        {
            ArgumentNullException.ThrowIfNull(frame);
            using PictureFile file = PictureFile.Open(Path.Combine(folder, frame.File));
            if (
                frame.Page >= 0
                && frame.Page < file.Pages.Count
                && (long)file.Pages[frame.Page].Rows * file.Pages[frame.Page].Columns != counts.Length
            )
            {
                PictureInfo info = file.Pages[frame.Page];
                throw new InputProblemException(
                    frame.File,
                    $"it has {info.Rows} rows × {info.Columns} columns × {info.Bands} bands, not the {counts.Length} pixels of the camera profile's band {frame.Band}.",
                    "Check that the camera profile belongs to these captures."
                );
            }

            file.ReadPlane(frame.Page, frame.Plane, counts);
        };
    }
}
