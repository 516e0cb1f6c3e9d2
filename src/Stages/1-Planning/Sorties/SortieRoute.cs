using Hillrow.Numerics;

namespace Hillrow.Planning;

/// <summary>A part of a line that a sortie flies.</summary>
/// <param name="Line">The line.</param>
/// <param name="Back">Whether from its end to its start.</param>
/// <param name="First">First capture, numbered along the line's own direction.</param>
/// <param name="Last">Last capture.</param>
internal readonly record struct FlownLine(LineSegment Line, bool Back, int First, int Last)
{
    public Heading Begin => new(Line.CaptureAt(Back ? Last : First), Line.Axes.AzimuthRadians + (Back ? Math.PI : 0));

    public Heading End => new(Line.CaptureAt(Back ? First : Last), Line.Axes.AzimuthRadians + (Back ? Math.PI : 0));

    public int Captures => Last - First + 1;
}

/// <summary>Joins lines to a route from home to home, lays it over the ground, and reckons time and energy.</summary>
internal sealed class SortieRoute(
    FlightGround ground,
    PlanningInput input,
    PlanningSettings settings,
    TurnCost turns,
    KeptOutAreas keptOut
)
{
    /// <summary>Distance of route samples: a turn of 4 m radius keeps its shape, 30 m posts are followed closely.</summary>
    private const double StepMetres = 4;

    /// <summary>Samples on both sides of a corner count as no nearer than this.</summary>
    private const double NearestSampleMetres = 0.1;

    public sealed class Flown
    {
        public required IReadOnlyList<RoutePiece> Pieces { get; init; }

        public required RouteSample[] Samples { get; init; }

        public required double StepMetres { get; init; }

        public required double HomeUpMetres { get; init; }

        public required double Seconds { get; init; }

        public required double EnergyWattHours { get; init; }

        /// <summary>Seconds from take-off until the route's first sample.</summary>
        public required double TakeOffSeconds { get; init; }
    }

    /// <exception cref="InputProblemException">No way around a no-fly area, void terrain, wind too strong.</exception>
    public Flown Fly(HomePoint home, IReadOnlyList<FlownLine> lines)
    {
        List<RoutePiece> pieces = [];
        Heading? at = null;
        foreach (FlownLine line in lines)
        {
            Join(pieces, at, line.Begin, home.Place);
            double speed = LineSpeeds.Over(
                input.Aircraft,
                settings.Wind,
                line.Begin.AzimuthRadians,
                line.Line.SpeedMetresPerSecond
            );
            if (speed < input.Aircraft.SlowestSurveySpeedMetresPerSecond - 1e-9)
            {
                throw PlanRefusals.WindTooStrong(input.Aircraft, settings.Wind);
            }

            pieces.Add(RoutePiece.OnLine(line.Line, line.Back, line.First, line.Last, speed));
            at = line.End;
        }

        Join(pieces, at, null, home.Place);
        return Lay(home, pieces);
    }

    private void Join(List<RoutePiece> pieces, Heading? from, Heading? to, PlanPoint home)
    {
        PlanPoint a = from?.Place ?? home;
        PlanPoint b = to?.Place ?? home;
        if (a.DistanceTo(b) < 1e-6 && (from is null || to is null))
        {
            return;
        }

        Heading begin = from ?? new Heading(a, a.AzimuthTo(b));
        Heading end = to ?? new Heading(b, a.AzimuthTo(b));
        double radius = turns.RadiusBetween(begin, end);
        bool transit = from is null || to is null || turns.IsTransit(begin, end);
        SmoothTurn turn = SmoothTurn.Between(begin, end, radius);
        if (!TouchesKeptOut(turn))
        {
            AddSmooth(pieces, begin, turn, radius, transit);
            return;
        }

        // A turn that would cut a no-fly area: stop, turn on the spot, and go straight, or around it by its corners.
        List<PlanPoint> way =
            keptOut.Way(a, b)
            ?? throw new InputProblemException(
                "no-fly areas",
                FormattableString.Invariant(
                    $"leave no way from {PlanRefusals.Where(input, a)} to {PlanRefusals.Where(input, b)}."
                ),
                "Open a passage between them, or add a home inside."
            );
        for (int leg = 1; leg < way.Count; leg++)
        {
            pieces.Add(
                RoutePiece.Straight(
                    transit ? RouteKind.Transit : RouteKind.Turn,
                    way[leg - 1],
                    way[leg],
                    TransitSpeed(way[leg - 1], way[leg]),
                    TurnCost.CornerSeconds
                )
            );
        }
    }

    private bool TouchesKeptOut(SmoothTurn turn)
    {
        if (keptOut.Outlines.Count == 0)
        {
            return false;
        }

        int steps = Math.Max(2, (int)Math.Ceiling(turn.LengthMetres / 2));
        PlanPoint before = turn.At(0).Place;
        for (int step = 1; step <= steps; step++)
        {
            PlanPoint here = turn.At(turn.LengthMetres * step / steps).Place;
            if (keptOut.Blocks(before, here))
            {
                return true;
            }

            before = here;
        }

        return false;
    }

    private void AddSmooth(List<RoutePiece> pieces, Heading begin, SmoothTurn turn, double radius, bool transit)
    {
        double speed = turns.SpeedOnRadius(radius);
        if (transit)
        {
            // Turns at both ends are flown slowly only in arcs; the speed of the whole is that of its mean slope.
            Heading end = turn.At(turn.LengthMetres);
            double slow = Math.Min(turn.LengthMetres, Math.PI * radius);
            double fast = TransitSpeed(begin.Place, end.Place);
            speed = turn.LengthMetres / ((slow / speed) + ((turn.LengthMetres - slow) / fast));
        }

        // The wind comes from every side in a turn: the worst of them rules.
        int looks = Math.Clamp((int)Math.Ceiling(turn.LengthMetres), 24, 600);
        for (int look = 0; look <= looks; look++)
        {
            double azimuth = turn.At(turn.LengthMetres * look / looks).AzimuthRadians;
            speed = Math.Min(speed, LineSpeeds.Over(input.Aircraft, settings.Wind, azimuth, speed));
        }

        if (speed < 0.5)
        {
            throw PlanRefusals.WindTooStrong(input.Aircraft, settings.Wind);
        }

        pieces.Add(RoutePiece.Smooth(transit ? RouteKind.Transit : RouteKind.Turn, begin, turn, speed));
    }

    /// <summary>Transit speed, less where the ground is so steep that the climb rate would not keep up, less in a head wind.</summary>
    private double TransitSpeed(PlanPoint from, PlanPoint to)
    {
        double wanted = input.Aircraft.TransitSpeedMetresPerSecond;
        double length = Math.Max(1, from.DistanceTo(to));
        int steps = Math.Max(1, (int)Math.Ceiling(length / 30));
        double steepest = 0;
        for (int at = 0; at < steps; at++)
        {
            double here = ground.GroundAt(from.Between(to, (double)at / steps));
            double next = ground.GroundAt(from.Between(to, (at + 1.0) / steps));
            double slope = Math.Abs(next - here) * steps / length;
            steepest = slope > steepest ? slope : steepest;
        }

        double climbing = HeightProfile.ClimbAndDescent(input.Aircraft) / Math.Max(0.05, steepest);
        double speed = LineSpeeds.Over(
            input.Aircraft,
            settings.Wind,
            from.AzimuthTo(to),
            Math.Min(wanted, Math.Max(climbing, input.Aircraft.SlowestSurveySpeedMetresPerSecond))
        );
        return speed > 0.5 ? speed : throw PlanRefusals.WindTooStrong(input.Aircraft, settings.Wind);
    }

    private Flown Lay(HomePoint home, List<RoutePiece> pieces)
    {
        double total = pieces.Sum(piece => piece.LengthMetres);
        int steps = Math.Max(1, (int)Math.Ceiling(total / StepMetres));
        double step = total / steps;
        int count = steps + 1;
        double[] wanted = new double[count];
        double[] floor = new double[count];
        double[] speeds = new double[count];
        double[] up = new double[count];
        RouteSample[] samples = new RouteSample[count];
        double homeUp = ground.GroundAt(home.Place);
        int on = 0;
        double begins = 0;
        int line = pieces.Count > 0 && pieces[0].Line is not null ? 1 : 0;
        double stops = 0;
        double[] stopped = new double[count];
        for (int at = 0; at < count; at++)
        {
            double along = at * step;
            while (on + 1 < pieces.Count && along >= begins + pieces[on].LengthMetres - 1e-9)
            {
                begins += pieces[on].LengthMetres;
                stops += pieces[on].StopSeconds + SpeedChangeSeconds(pieces[on], pieces[on + 1]);
                on++;
                line += pieces[on].Line is null ? 0 : 1;
            }

            stopped[at] = stops;
            RoutePiece piece = pieces[on];
            Heading here = piece.At(along - begins);
            wanted[at] = ground.GroundAt(here.Place) + ground.HeightMetres;
            floor[at] = ground.FloorAt(here.Place);
            speeds[at] = piece.SpeedMetresPerSecond;
            if (!double.IsFinite(wanted[at] + floor[at]))
            {
                throw PlanRefusals.Void(input, here.Place);
            }

            samples[at] = new RouteSample(
                0,
                here.Place,
                0,
                here.AzimuthRadians,
                piece.SpeedMetresPerSecond,
                piece.Kind,
                piece.Line is null ? 0 : line
            );
        }

        // From sample to sample the aircraft flies straight: around a corner that is shorter than along the route, and
        // the climb must fit there too.
        for (int at = 0; at + 1 < count; at++)
        {
            double straight = samples[at].Place.DistanceTo(samples[at + 1].Place);
            speeds[at] *=
                step / Math.Clamp(straight, Math.Min(step, NearestSampleMetres), Math.Max(step, NearestSampleMetres));
        }

        HeightProfile.Fit(
            wanted,
            floor,
            speeds,
            HeightProfile.ClimbAndDescent(input.Aircraft),
            step,
            HeightProfile.HalfWindow(input.Aircraft, step),
            up
        );
        return Reckon(pieces, samples, up, stopped, step, homeUp);
    }

    private Flown Reckon(
        IReadOnlyList<RoutePiece> pieces,
        RouteSample[] samples,
        double[] up,
        double[] stopped,
        double step,
        double homeUp
    )
    {
        AircraftProfile aircraft = input.Aircraft;
        double takeOff = Math.Max(0, up[0] - homeUp) / aircraft.ClimbMetresPerSecond;
        double seconds = takeOff;
        double wattSeconds = takeOff * aircraft.Power.At(settings.Wind.MetresPerSecond, aircraft.ClimbMetresPerSecond);
        for (int at = 0; at < samples.Length; at++)
        {
            samples[at] = samples[at] with { UpMetres = up[at], Seconds = seconds };
            if (at + 1 < samples.Length)
            {
                double speed = samples[at].SpeedMetresPerSecond;
                double took = step / speed;
                double air = LineSpeeds.Air(settings.Wind, samples[at].AzimuthRadians, speed);
                wattSeconds += took * aircraft.Power.At(air, (up[at + 1] - up[at]) / took);
                double stop = stopped[at + 1] - stopped[at];
                wattSeconds += stop * aircraft.Power.At(settings.Wind.MetresPerSecond, 0);
                seconds += took + stop;
            }
        }

        double landing = Math.Max(0, up[^1] - homeUp) / aircraft.DescentMetresPerSecond;
        wattSeconds += landing * aircraft.Power.At(settings.Wind.MetresPerSecond, 0);
        return new Flown
        {
            Pieces = pieces,
            Samples = samples,
            StepMetres = step,
            HomeUpMetres = homeUp,
            Seconds = seconds + landing,
            EnergyWattHours = wattSeconds / 3600,
            TakeOffSeconds = takeOff,
        };
    }

    /// <summary>Time lost while the speed changes between two pieces, at the acceleration of turns.</summary>
    private double SpeedChangeSeconds(RoutePiece from, RoutePiece to)
    {
        double change = from.SpeedMetresPerSecond - to.SpeedMetresPerSecond;
        double faster = Math.Max(from.SpeedMetresPerSecond, to.SpeedMetresPerSecond);
        return change * change / (2 * faster * input.Aircraft.TurnAccelerationMetresPerSecondSquared);
    }
}
