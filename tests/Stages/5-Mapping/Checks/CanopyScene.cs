namespace Hillrow.Mapping.Checks;

/// <summary>A steep slope with rows of crowns: the relief a coffee block shows the map.</summary>
public static class CanopyScene
{
    /// <summary>Height over the scene's base from easting and northing less its middle, metres.</summary>
    public static double HeightAt(double east, double north)
    {
        const double betweenRows = 3.4;
        const double betweenPlants = 1.1;
        double across = east - (betweenRows * Math.Round(east / betweenRows));
        double along = north - (betweenPlants * Math.Round(north / betweenPlants));
        double away = ((across * across) + (0.5 * along * along)) / (0.9 * 0.9);
        double crown = 2.2 * Math.Sqrt(Math.Max(0, 1 - away));
        return (0.35 * north) + crown;
    }
}
