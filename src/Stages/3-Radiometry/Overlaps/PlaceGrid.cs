using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Radiometry;

/// <summary>Places on the surface, a square grid of them, at which captures are compared.</summary>
internal sealed class PlaceGrid
{
    private readonly Vector3D[] places;
    private readonly int[] numbers;
    private readonly int columns;
    private readonly int rows;
    private readonly double west;
    private readonly double south;
    private readonly double reachMetres;

    private PlaceGrid(
        Vector3D[] places,
        int[] numbers,
        int rows,
        int columns,
        double west,
        double south,
        double spacingMetres,
        double reachMetres
    )
    {
        (this.places, this.numbers, this.rows, this.columns) = (places, numbers, rows, columns);
        (this.west, this.south, SpacingMetres, this.reachMetres) = (west, south, spacingMetres, reachMetres);
    }

    public double SpacingMetres { get; }

    public int Count => places.Length;

    public Vector3D this[int place] => places[place];

    /// <param name="surface">Places where it is void are left out.</param>
    /// <param name="captures">The grid covers what they may see.</param>
    /// <param name="spacingMetres">Between places.</param>
    /// <param name="heightMetres">Of the captures above ground.</param>
    public static PlaceGrid Over(
        HeightField surface,
        IReadOnlyList<PlacedCapture> captures,
        double spacingMetres,
        double heightMetres
    )
    {
        double reach = 1.2 * heightMetres;
        double left = Math.Max(surface.WestMetres, captures.Min(at => at.Pose.CentreLocalMetres.X) - reach);
        double right = Math.Min(surface.EastMetres, captures.Max(at => at.Pose.CentreLocalMetres.X) + reach);
        double low = Math.Max(surface.SouthMetres, captures.Min(at => at.Pose.CentreLocalMetres.Y) - reach);
        double high = Math.Min(surface.NorthMetres, captures.Max(at => at.Pose.CentreLocalMetres.Y) + reach);
        int across = Math.Max(0, (int)((right - left) / spacingMetres));
        int down = Math.Max(0, (int)((high - low) / spacingMetres));
        List<Vector3D> kept = [];
        int[] numbering = new int[down * across];
        for (int row = 0; row < down; row++)
        {
            for (int column = 0; column < across; column++)
            {
                double x = left + ((column + 0.5) * spacingMetres);
                double y = low + ((row + 0.5) * spacingMetres);
                double z = surface.HeightAt(x, y);
                numbering[(row * across) + column] = double.IsFinite(z) ? kept.Count : -1;
                if (double.IsFinite(z))
                {
                    kept.Add(new Vector3D(x, y, z));
                }
            }
        }

        return new PlaceGrid([.. kept], numbering, down, across, left, low, spacingMetres, reach);
    }

    /// <summary>Places within reach of a camera.</summary>
    public IEnumerable<int> Near(Vector3D cameraLocalMetres)
    {
        int left = Math.Max(0, (int)((cameraLocalMetres.X - reachMetres - west) / SpacingMetres));
        int right = Math.Min(columns - 1, (int)((cameraLocalMetres.X + reachMetres - west) / SpacingMetres));
        int low = Math.Max(0, (int)((cameraLocalMetres.Y - reachMetres - south) / SpacingMetres));
        int high = Math.Min(rows - 1, (int)((cameraLocalMetres.Y + reachMetres - south) / SpacingMetres));
        for (int row = low; row <= high; row++)
        {
            for (int column = left; column <= right; column++)
            {
                if (numbers[(row * columns) + column] is >= 0 and var place)
                {
                    yield return place;
                }
            }
        }
    }
}
