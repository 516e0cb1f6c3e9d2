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
    float[] Picture
)
{
    public static LevelView Of(CameraPose pose, LevelCamera camera, float[] picture) =>
        new(
            pose,
            camera.FocalPixels,
            camera.PrincipalColumn,
            camera.PrincipalRow,
            camera.Rows,
            camera.Columns,
            picture
        );

    /// <summary>Half as large, by means of 2 × 2 pixels.</summary>
    public LevelView Halved()
    {
        int rows = Rows / 2;
        int columns = Columns / 2;
        float[] half = new float[rows * columns];
        unchecked
        {
            // Indices are bounded by the picture.
            for (int row = 0; row < rows; row++)
            {
                for (int column = 0; column < columns; column++)
                {
                    int at = (2 * row * Columns) + (2 * column);
                    half[(row * columns) + column] =
                        0.25f * (Picture[at] + Picture[at + 1] + Picture[at + Columns] + Picture[at + Columns + 1]);
                }
            }
        }

        return new LevelView(Pose, FocalPixels / 2, PrincipalColumn / 2, PrincipalRow / 2, rows, columns, half);
    }

    /// <summary>Line of sight of a pixel centre in the local frame, scaled to fall by one metre.</summary>
    public Vector3D FallingRay(double column, double row)
    {
        Vector3D ray = Pose.ToLocalDirection(
            new Vector3D((column - PrincipalColumn) / FocalPixels, (row - PrincipalRow) / FocalPixels, 1)
        );
        return ray / -ray.Z;
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
