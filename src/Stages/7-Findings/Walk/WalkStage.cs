using Hillrow.Earth;

namespace Hillrow.Findings;

/// <summary>A survey's findings in, the scout's walk out.</summary>
public static class WalkStage
{
    /// <param name="plants">As given to <see cref="FindingsStage"/>.</param>
    /// <param name="found">What that said, in the same order.</param>
    /// <param name="spread">Against the survey before, if there is one.</param>
    /// <param name="tracks">Paths and roads in the estate's grid; walking off them is slower.</param>
    /// <param name="settings">Those that judged.</param>
    /// <param name="walk">Of the walk.</param>
    public static WalkList Plan(
        IReadOnlyList<ObservedPlant> plants,
        FindingsResult found,
        SpreadResult? spread,
        IReadOnlyList<IReadOnlyList<GridPoint>> tracks,
        FindingsSettings settings,
        WalkSettings walk
    )
    {
        ArgumentNullException.ThrowIfNull(plants);
        ArgumentNullException.ThrowIfNull(found);
        ArgumentNullException.ThrowIfNull(settings);
        ArgumentNullException.ThrowIfNull(walk);
        IReadOnlyList<ChosenStop> chosen = StopChoice.Of(plants, found, spread, settings, walk);
        if (chosen.Count == 0)
        {
            return WalkList.Empty;
        }

        WalkingGround ground = new(plants, tracks, walk);
        // The walk begins where one comes from: nearest to a track, else at the lowest stop.
        ChosenStop[] stops =
        [
            .. chosen
                .OrderBy(stop => NearestTrack(stop.Plant.Place, tracks))
                .ThenBy(stop => ground.HeightAt(stop.Plant.Place))
                .ThenBy(stop => stop.Plant.Number),
        ];
        int count = stops.Length;
        double[] costs = new double[count * count];
        sbyte[][] came = new sbyte[count][];
        for (int from = 0; from < count; from++)
        {
            (double[] minutes, came[from]) = ground.From(stops[from].Plant.Place);
            for (int to = 0; to < count; to++)
            {
                costs[(from * count) + to] = minutes[ground.CellOf(stops[to].Plant.Place)];
            }
        }

        int[] tour = WalkTour.Round(costs, count);
        List<WalkStop> walked = [];
        for (int at = 0; at < count; at++)
        {
            int before = tour[(at + count - 1) % count];
            ChosenStop stop = stops[tour[at]];
            (IReadOnlyList<GridPoint> way, double metres, double steepest) = ground.WayTo(
                stops[before].Plant.Place,
                stop.Plant.Place,
                came[before]
            );
            walked.Add(
                new WalkStop(
                    at + 1,
                    stop.Plant.Number,
                    stop.Plant.Block,
                    stop.Plant.Place,
                    stop.Task,
                    stop.Patch,
                    count == 1 ? 0 : metres,
                    count == 1 ? 0 : costs[(before * count) + tour[at]],
                    steepest,
                    way
                )
            );
        }

        return new WalkList(walked);
    }

    private static double NearestTrack(GridPoint place, IReadOnlyList<IReadOnlyList<GridPoint>> tracks) =>
        tracks
            .SelectMany(track => track)
            .Select(point =>
                Math.Pow(point.EastingMetres - place.EastingMetres, 2)
                + Math.Pow(point.NorthingMetres - place.NorthingMetres, 2)
            )
            .DefaultIfEmpty(0)
            .Min();
}
