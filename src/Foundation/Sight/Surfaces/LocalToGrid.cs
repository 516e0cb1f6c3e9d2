using Hillrow.Earth;
using Hillrow.Numerics;

namespace Hillrow.Sight;

/// <summary>The other way round: posts of a local grid → place in a map grid, and ellipsoidal height minus up coordinate.</summary>
/// <remarks>
/// Exact at nodes, bilinear between, for ground within 100 m of a nominal height: the vertical leans 0.009° at 1 km, so a
/// place moves by 1.6 cm there for 100 m of height.
/// </remarks>
internal sealed class LocalToGrid
{
    private const double GreatestNodeDistanceMetres = 100;

    private readonly int cellsPerNode;
    private readonly int nodeColumns;
    private readonly int nodeRows;
    private readonly Vector3D[] nodes;

    public LocalToGrid(LocalGrid area, LocalFrame frame, ReferenceSystem system, double nominalHeightMetres)
    {
        cellsPerNode = Math.Clamp((int)(GreatestNodeDistanceMetres / area.CellMetres), 1, 64);
        nodeColumns = ((area.Columns + cellsPerNode) / cellsPerNode) + 1;
        nodeRows = ((area.Rows + cellsPerNode) / cellsPerNode) + 1;
        nodes = new Vector3D[nodeRows * nodeColumns];
        for (int row = 0; row < nodeRows; row++)
        {
            for (int column = 0; column < nodeColumns; column++)
            {
                double east = area.WestMetres + (column * cellsPerNode * area.CellMetres);
                double north = area.NorthMetres - (row * cellsPerNode * area.CellMetres);
                double up = 0;
                GeodeticPosition place = frame.ToGeodetic(new Vector3D(east, north, up));
                for (int pass = 0; pass < 2; pass++)
                {
                    up += nominalHeightMetres - place.HeightAboveEllipsoidMetres;
                    place = frame.ToGeodetic(new Vector3D(east, north, up));
                }

                GridPoint point = system.ToGrid(new GeographicPoint(place.Latitude, place.Longitude));
                nodes[(row * nodeColumns) + column] = new Vector3D(
                    point.EastingMetres,
                    point.NorthingMetres,
                    place.HeightAboveEllipsoidMetres - up
                );
            }
        }
    }

    public (GridPoint Place, double HeightMinusUpMetres) At(int row, int column)
    {
        int r = Math.Min(row / cellsPerNode, nodeRows - 2);
        int c = Math.Min(column / cellsPerNode, nodeColumns - 2);
        double v = ((double)row / cellsPerNode) - r;
        double u = ((double)column / cellsPerNode) - c;
        int at = (r * nodeColumns) + c;
        Vector3D top = nodes[at] + ((nodes[at + 1] - nodes[at]) * u);
        Vector3D bottom = nodes[at + nodeColumns] + ((nodes[at + nodeColumns + 1] - nodes[at + nodeColumns]) * u);
        Vector3D found = top + ((bottom - top) * v);
        return (new GridPoint(found.X, found.Y), found.Z);
    }
}
