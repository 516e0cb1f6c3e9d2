using Hillrow.Numerics;

namespace Hillrow.Planning;

/// <summary>Turns a flown route into the sortie that is handed over: captures, lines, and the numbers of the flight card.</summary>
internal sealed class SortieFigures(
    FlightGround ground,
    PlanningInput input,
    PlanningSettings settings,
    SightFromHome sight
)
{
    /// <summary>The ceiling may be passed by this much: rounding of the profile, far below what anyone can measure.</summary>
    private const double CeilingToleranceMetres = 0.5;

    /// <exception cref="InputProblemException">The route passes the ceiling.</exception>
    public Sortie Of(int number, int home, SortieRoute.Flown flown, ref int captureNumber)
    {
        RouteSample[] samples = flown.Samples;
        List<PlannedTrigger> captures = [];
        List<SortieLine> lines = [];
        double begins = 0;
        foreach (RoutePiece piece in flown.Pieces)
        {
            if (piece.Line is { } line)
            {
                (int first, int last) = piece.Captures;
                lines.Add(
                    new SortieLine(
                        lines.Count + 1,
                        piece.Start.Place,
                        piece.At(piece.LengthMetres).Place,
                        piece.SpeedMetresPerSecond,
                        line.BaseMetres,
                        last - first + 1
                    )
                );
                double yaw = piece.Start.AzimuthRadians * 180 / Math.PI;
                for (int at = 0; at <= last - first; at++)
                {
                    double along = begins + (at * line.BaseMetres);
                    PlanPoint place = line.CaptureAt(piece.Back ? last - at : first + at);
                    (double up, double seconds) = AlongRoute(flown, along);
                    captures.Add(
                        new PlannedTrigger(
                            ++captureNumber,
                            seconds,
                            new Vector3D(place.EastMetres, place.NorthMetres, up),
                            yaw - (360 * Math.Floor(yaw / 360)),
                            lines.Count
                        )
                    );
                }
            }

            begins += piece.LengthMetres;
        }

        double Length(RouteKind kind) =>
            flown.Pieces.Where(piece => piece.Kind == kind).Sum(piece => piece.LengthMetres);
        double clearance = double.PositiveInfinity;
        double highest = 0;
        double farthest = 0;
        double hidden = 0;
        double climbs = Math.Max(0, samples[0].UpMetres - flown.HomeUpMetres);
        for (int at = 0; at < samples.Length; at++)
        {
            RouteSample sample = samples[at];
            double above = sample.UpMetres - ground.GroundAt(sample.Place);
            if (above > settings.CeilingMetres + CeilingToleranceMetres)
            {
                throw PlanRefusals.TooHigh(input, settings, sample.Place, above);
            }

            highest = Math.Max(highest, above);
            clearance = Math.Min(clearance, sample.UpMetres - ground.TopAt(sample.Place));
            Vector3D aircraft = new(sample.Place.EastMetres, sample.Place.NorthMetres, sample.UpMetres);
            farthest = Math.Max(farthest, sight.DistanceFrom(home, aircraft));
            hidden += sample.Kind == RouteKind.Line || sight.Sees(home, aircraft) ? 0 : flown.StepMetres;
            climbs += at == 0 ? 0 : Math.Max(0, sample.UpMetres - samples[at - 1].UpMetres);
        }

        return new Sortie
        {
            Number = number,
            Home = input.Homes[home],
            HomeUpMetres = flown.HomeUpMetres,
            Route = samples,
            Captures = captures,
            Lines = lines,
            Seconds = flown.Seconds,
            EnergyWattHours = flown.EnergyWattHours,
            BudgetWattHours = input.Aircraft.BudgetWattHours,
            LineMetres = Length(RouteKind.Line),
            TurnMetres = Length(RouteKind.Turn),
            TransitMetres = Length(RouteKind.Transit),
            ClimbMetres = climbs,
            HighestAboveHomeMetres = samples.Max(sample => sample.UpMetres) - flown.HomeUpMetres,
            LeastClearanceMetres = clearance,
            HighestAboveGroundMetres = highest,
            FarthestMetres = farthest,
            HiddenMetres = hidden,
        };
    }

    private static (double UpMetres, double Seconds) AlongRoute(SortieRoute.Flown flown, double along)
    {
        RouteSample[] samples = flown.Samples;
        double at = Math.Clamp(along / flown.StepMetres, 0, samples.Length - 1);
        int before = Math.Min((int)at, samples.Length - 2);
        if (before < 0)
        {
            return (samples[0].UpMetres, samples[0].Seconds);
        }

        double share = at - before;
        RouteSample a = samples[before];
        RouteSample b = samples[before + 1];
        return (a.UpMetres + ((b.UpMetres - a.UpMetres) * share), a.Seconds + ((b.Seconds - a.Seconds) * share));
    }
}
