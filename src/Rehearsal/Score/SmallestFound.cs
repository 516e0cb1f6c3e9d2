namespace Hillrow.Rehearsal;

/// <summary>Down to which crown a flight's plants are found: what a rehearsed plan is asked before anyone drives there.</summary>
public static class SmallestFound
{
    /// <summary>Width of a class of crown diameters.</summary>
    public const double ClassMetres = 0.2;

    /// <summary>Of a class, so many must be found.</summary>
    public const double Share = 0.9;

    /// <summary>Classes with fewer plants say too little and are joined to the next smaller one.</summary>
    public const int LeastPlants = 10;

    /// <summary>
    /// Lower edge, in metres of crown diameter, of the smallest class that is found to nine tenths, and all larger ones
    /// with it; NaN when even the largest is not, or there are too few plants.
    /// </summary>
    /// <param name="plants">True crown diameter, metres, and whether it was found.</param>
    public static double CrownMetres(IEnumerable<(double DiameterMetres, bool Found)> plants)
    {
        double smallest = double.NaN;
        int all = 0;
        int found = 0;
        foreach (
            IGrouping<int, (double, bool Found)> one in plants
                .GroupBy(plant => (int)Math.Floor(plant.DiameterMetres / ClassMetres))
                .OrderByDescending(group => group.Key)
        )
        {
            all += one.Count();
            found += one.Count(plant => plant.Found);
            if (all < LeastPlants)
            {
                continue;
            }

            if (found < Share * all)
            {
                break;
            }

            smallest = one.Key * ClassMetres;
            (all, found) = (0, 0);
        }

        return smallest;
    }
}
