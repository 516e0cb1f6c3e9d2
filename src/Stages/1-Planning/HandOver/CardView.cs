namespace Hillrow.Planning;

/// <summary>North up on a card's map: from places to a drawing whose y runs down.</summary>
/// <param name="WestMetres">Left edge.</param>
/// <param name="NorthMetres">Upper edge.</param>
/// <param name="Scale">Units of the drawing a metre.</param>
/// <param name="Width">Of the drawing.</param>
/// <param name="Height">Of the drawing.</param>
internal readonly record struct CardView(
    double WestMetres,
    double NorthMetres,
    double Scale,
    double Width,
    double Height
)
{
    private const double EdgeMetres = 20;
    private const double NearMetres = 80;

    /// <summary>Blocks, route and home of a sortie, as large as the room allows.</summary>
    public static CardView Of(PlanningResult plan, Sortie sortie, double mostWidth, double mostHeight)
    {
        IEnumerable<PlanPoint> all = plan
            .Input.Blocks.SelectMany(block => block.Parts)
            .SelectMany(part => part.Outer)
            .Concat(sortie.Route.Select(sample => sample.Place))
            .Append(sortie.Home.Place);
        double west = all.Min(place => place.EastMetres);
        double east = all.Max(place => place.EastMetres);
        double south = all.Min(place => place.NorthMetres);
        double north = all.Max(place => place.NorthMetres);
        // What must not be flown over or hit is shown when it lies near; what lies far would only make the map small.
        PlanPoint[] near =
        [
            .. plan
                .Input.Obstacles.SelectMany(obstacle => obstacle.Points)
                .Concat(plan.Input.NoFly.SelectMany(area => area.Outline.Outer))
                .Where(place =>
                    place.EastMetres > west - NearMetres
                    && place.EastMetres < east + NearMetres
                    && place.NorthMetres > south - NearMetres
                    && place.NorthMetres < north + NearMetres
                ),
        ];
        west = near.Select(place => place.EastMetres).Append(west).Min() - EdgeMetres;
        east = near.Select(place => place.EastMetres).Append(east).Max() + EdgeMetres;
        south = near.Select(place => place.NorthMetres).Append(south).Min() - EdgeMetres;
        north = near.Select(place => place.NorthMetres).Append(north).Max() + EdgeMetres;
        double scale = Math.Min(mostWidth / (east - west), mostHeight / (north - south));
        return new CardView(west, north, scale, (east - west) * scale, (north - south) * scale);
    }

    public double X(PlanPoint place) => (place.EastMetres - WestMetres) * Scale;

    public double Y(PlanPoint place) => (NorthMetres - place.NorthMetres) * Scale;

    /// <summary>A round length that takes about so many units.</summary>
    public double BarMetres(double units)
    {
        double metres = units / Scale;
        double power = Math.Pow(10, Math.Floor(Math.Log10(metres)));
        double lead = metres / power;
        return power
            * (
                lead >= 5 ? 5
                : lead >= 2 ? 2
                : 1
            );
    }
}

/// <summary>Along a sortie's route: ground and aircraft, both against the ground at home.</summary>
internal sealed class CardProfile
{
    /// <summary>More would not be seen on paper.</summary>
    private const int MostPlaces = 900;

    private readonly double[] along;

    private CardProfile(double[] along, double[] ground, double[] up)
    {
        this.along = along;
        GroundMetres = ground;
        UpMetres = up;
        LowMetres = Math.Min(0, ground.Min());
        HighMetres = up.Max();
        int every = Math.Max(1, along.Length / MostPlaces);
        Shown = [.. Enumerable.Range(0, along.Length).Where(at => at % every == 0 || at == along.Length - 1)];
    }

    public IReadOnlyList<double> GroundMetres { get; }

    public IReadOnlyList<double> UpMetres { get; }

    public double LowMetres { get; }

    public double HighMetres { get; }

    public double LengthMetres => Math.Max(1, along[^1]);

    /// <summary>Places of the route that are drawn.</summary>
    public IReadOnlyList<int> Shown { get; }

    public static CardProfile Of(PlanningResult plan, Sortie sortie)
    {
        IReadOnlyList<RouteSample> route = sortie.Route;
        double[] metres = new double[route.Count];
        for (int at = 1; at < route.Count; at++)
        {
            metres[at] = metres[at - 1] + route[at - 1].Place.DistanceTo(route[at].Place);
        }

        return new CardProfile(
            metres,
            [
                .. route.Select(sample =>
                    plan.Input.Terrain.HeightAt(sample.Place.EastMetres, sample.Place.NorthMetres) - sortie.HomeUpMetres
                ),
            ],
            [.. route.Select(sample => sample.UpMetres - sortie.HomeUpMetres)]
        );
    }

    /// <summary>0 at take-off, 1 at landing.</summary>
    public double Along(int at) => along[at] / LengthMetres;

    /// <summary>0 at the lowest height, 1 at the highest.</summary>
    public double Share(double height) => (height - LowMetres) / Math.Max(1, HighMetres - LowMetres);
}
