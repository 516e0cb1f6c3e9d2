using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Radiometry;

/// <summary>Reads a frame's samples as stored.</summary>
internal static class FrameCounts
{
    /// <exception cref="InputProblemException">Unreadable, of another size, or no counts.</exception>
    public static void Read(string rootFolder, BandFrame frame, int rows, int columns, Span<ushort> samples)
    {
        string path = Path.Combine(rootFolder, frame.File);
        using PictureFile file = PictureFile.Open(path);
        PictureInfo? page = frame.Page < file.Pages.Count ? file.Pages[frame.Page] : null;
        if (page is null || page.Rows != rows || page.Columns != columns || page.Bands <= frame.Plane || !page.IsCounts)
        {
            throw new InputProblemException(
                path,
                $"page {frame.Page + 1} does not hold counts of {columns} × {rows} pixels, as the camera profile says of band {frame.Band}.",
                "Take the card in again with the profile of the camera that took it."
            );
        }

        file.ReadPlane(frame.Page, frame.Plane, samples);
    }
}
