using Hillrow.Earth;

namespace Hillrow.Estate;

/// <summary>A person's word that two sightings are of one plant.</summary>
internal sealed record SamePlant(IssuedAt One, IssuedAt Other)
{
    /// <summary>The sighting in a survey first, then the other.</summary>
    public (IssuedAt Here, IssuedAt There) Of(string survey) => Other.Survey == survey ? (Other, One) : (One, Other);
}

/// <summary>Finds the sighting that stands at a place.</summary>
internal static class Sightings
{
    /// <summary>
    /// Of the planting distance: a plant found again after a change of the program stands a little beside its old place, its
    /// neighbour a whole distance away.
    /// </summary>
    private const double GateShare = 0.5;

    /// <returns>Position in the list of found plants; null when none stands near enough.</returns>
    public static int? Find(StoredBlockPlants part, GridPoint place)
    {
        int best = -1;
        double nearest = GateOf(part);
        for (int at = 0; at < part.Found.Plants.Count; at++)
        {
            double off = Distance(part.Found.Plants[at].Place, place);
            if (off < nearest)
            {
                (best, nearest) = (at, off);
            }
        }

        return best < 0 ? null : best;
    }

    public static double GateOf(StoredBlockPlants part) =>
        part.Found.PlantSpacingMetres > 0 ? GateShare * part.Found.PlantSpacingMetres : 0.5;

    public static double Distance(GridPoint a, GridPoint b)
    {
        double x = a.EastingMetres - b.EastingMetres;
        double y = a.NorthingMetres - b.NorthingMetres;
        return Math.Sqrt((x * x) + (y * y));
    }
}
