using Hillrow.Numerics;

namespace Hillrow.Reconstruction;

/// <summary>How far a place of a capture moves in a partner's picture, laid onto the plane, when the ground is raised.</summary>
/// <remarks>
/// The partner's picture is brought once into the capture's view as if all lay on the plane. A place that stands higher
/// then appears elsewhere: where the partner's line of sight past it reaches the plane.
/// </remarks>
internal sealed class PlaneShift(LevelView own, LevelView partner, SweepPlane plane)
{
    private readonly Vector3D centre = own.Pose.CentreLocalMetres;
    private readonly Vector3D partnerCentre = partner.Pose.CentreLocalMetres;

    /// <param name="column">Of the own view, first pixel's outer corner is 0.</param>
    /// <param name="row">Of the own view.</param>
    /// <param name="raisedMetres">Over the plane.</param>
    /// <returns>Columns and rows to add; far outside any picture for a line of sight that hardly falls.</returns>
    public (double Columns, double Rows) At(double column, double row, double raisedMetres)
    {
        if (!own.Falls(column, row))
        {
            return (2 * own.Columns, 2 * own.Rows);
        }

        Vector3D place = plane.Meet(centre, own.FallingRay(column, row), raisedMetres);
        Vector3D behind = plane.Meet(partnerCentre, place - partnerCentre, 0);
        _ = own.TryProject(behind, out double c, out double r);
        return (c - column, r - row);
    }
}
