using Hillrow.Earth;

namespace Hillrow.Plants;

/// <summary>Places sorted into square cells, to find those near a place.</summary>
public sealed class PlaceIndex
{
    private readonly GridPoint[] places;
    private readonly double cell;
    private readonly Dictionary<(long, long), List<int>> cells = [];

    public PlaceIndex(GridPoint[] places, double cellMetres)
    {
        this.places = places;
        cell = cellMetres;
        for (int at = 0; at < places.Length; at++)
        {
            (long, long) key = Key(places[at]);
            if (!cells.TryGetValue(key, out List<int>? list))
            {
                cells[key] = list = [];
            }

            list.Add(at);
        }
    }

    /// <summary>Replaces the list's contents with all places within a distance, in no stated order but always the same.</summary>
    public void Within(GridPoint place, double distance, List<int> found)
    {
        found.Clear();
        int reach = (int)Math.Ceiling(distance / cell);
        (long column, long row) = Key(place);
        for (long r = row - reach; r <= row + reach; r++)
        {
            for (long c = column - reach; c <= column + reach; c++)
            {
                if (!cells.TryGetValue((c, r), out List<int>? list))
                {
                    continue;
                }

                foreach (int at in list)
                {
                    double x = places[at].EastingMetres - place.EastingMetres;
                    double y = places[at].NorthingMetres - place.NorthingMetres;
                    if ((x * x) + (y * y) <= distance * distance)
                    {
                        found.Add(at);
                    }
                }
            }
        }
    }

    private (long, long) Key(GridPoint place) =>
        ((long)Math.Floor(place.EastingMetres / cell), (long)Math.Floor(place.NorthingMetres / cell));
}
