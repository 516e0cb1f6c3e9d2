using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Reconstruction;

/// <summary>One capture's picture in a distortion-free camera of some size.</summary>
/// <param name="Pose">Of the camera.</param>
/// <param name="FocalPixels">At this size.</param>
/// <param name="PrincipalColumn">At this size; first pixel's outer corner is 0.</param>
/// <param name="PrincipalRow">At this size.</param>
/// <param name="Rows">Of the picture.</param>
/// <param name="Columns">Of the picture.</param>
/// <param name="Picture">Rows × Columns brightnesses, in any linear unit.</param>
internal sealed record LevelView(
    CameraPose Pose,
    double FocalPixels,
    double PrincipalColumn,
    double PrincipalRow,
    int Rows,
    int Columns,
    ushort[] Picture
)
{
    /// <summary>Fall of a line of sight over its length, well flatter than what is mapped: 80° from straight down.</summary>
    private const double LeastFall = 0.17;

    public static LevelView Of(CameraPose pose, LevelCamera camera, ushort[] picture) =>
        new(
            pose,
            camera.FocalPixels,
            camera.PrincipalColumn,
            camera.PrincipalRow,
            camera.Rows,
            camera.Columns,
            picture
        );

    private LevelView? half;

    /// <summary>Half as large, by means of 2 × 2 pixels; made once.</summary>
    public LevelView Halved() => half ??= Half();

    private LevelView Half()
    {
        int rows = Rows / 2;
        int columns = Columns / 2;
        ushort[] means = GC.AllocateUninitializedArray<ushort>(rows * columns);
        unchecked
        {
            // Indices are bounded by the picture; four 16-bit values do not overflow 32 bits.
            for (int row = 0; row < rows; row++)
            {
                ReadOnlySpan<ushort> top = Picture.AsSpan(2 * row * Columns, Columns);
                ReadOnlySpan<ushort> below = Picture.AsSpan(((2 * row) + 1) * Columns, Columns);
                Span<ushort> into = means.AsSpan(row * columns, columns);
                for (int column = 0; column < into.Length; column++)
                {
                    int at = 2 * column;
                    into[column] = (ushort)((top[at] + top[at + 1] + below[at] + below[at + 1] + 2) >> 2);
                }
            }
        }

        return new LevelView(Pose, FocalPixels / 2, PrincipalColumn / 2, PrincipalRow / 2, rows, columns, means);
    }

    /// <summary>Line of sight of a pixel place in the local frame, scaled to fall by one metre.</summary>
    public Vector3D FallingRay(double column, double row)
    {
        Vector3D ray = Pose.ToLocalDirection(
            new Vector3D((column - PrincipalColumn) / FocalPixels, (row - PrincipalRow) / FocalPixels, 1)
        );
        return ray / -ray.Z;
    }

    /// <summary>Whether the line of sight of a pixel place falls steeply enough to be followed to the ground.</summary>
    public bool Falls(double column, double row)
    {
        Vector3D ray = Pose.ToLocalDirection(
            new Vector3D((column - PrincipalColumn) / FocalPixels, (row - PrincipalRow) / FocalPixels, 1)
        );
        return -ray.Z >= LeastFall * ray.Length;
    }

    /// <summary>Where a place of the local frame falls; false behind the camera.</summary>
    public bool TryProject(Vector3D place, out double column, out double row)
    {
        Vector3D p = Pose.ToCamera(place);
        column = (FocalPixels * p.X / p.Z) + PrincipalColumn;
        row = (FocalPixels * p.Y / p.Z) + PrincipalRow;
        return p.Z > 0.1;
    }
}
