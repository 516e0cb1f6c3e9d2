using Hillrow.Numerics;
using Hillrow.Planning;
using Hillrow.Sight;

namespace Hillrow.Checks;

/// <summary>
/// Laws that every plan keeps, on random polygons, terrains and winds: no line outside its limits, no gap, no energy over
/// budget, no capture out of the pilot's sight. Plain re-reckoning of what the plan hands over.
/// </summary>
public static class PlanProperties
{
    private const double Rounding = 1e-6;

    /// <summary>Everything that is wrong with the plan of one random site; empty when all is well or the plan is refused with a remedy.</summary>
    public static IReadOnlyList<string> Violations(ulong seed, out bool refused)
    {
        (PlanningInput input, PlanningSettings settings) = Site(seed);
        HeightField ground = input.Terrain;
        refused = false;
        PlanningResult plan;
        try
        {
            plan = PlanningStage.Run(input, settings);
        }
        catch (InputProblemException problem)
        {
            refused = true;
            return problem.Remedy.Length > 0 ? [] : ["refused without a remedy"];
        }

        List<string> wrong = [];
        foreach (Sortie sortie in plan.Sorties)
        {
            wrong.AddRange(OfFlight(plan, sortie));
            wrong.AddRange(OfCaptures(plan, sortie, ground));
        }

        bool leftOut = plan.Cautions.Any(caution => caution.Contains("left out", StringComparison.Ordinal));
        if (!leftOut && plan.Coverage.LeastViews < settings.Views)
        {
            wrong.Add($"a place is seen {plan.Coverage.LeastViews} times, asked {settings.Views}");
        }

        return wrong;
    }

    /// <summary>One random site.</summary>
    public static (PlanningInput Input, PlanningSettings Settings) Site(ulong seed)
    {
        SplittableRandom random = new(seed);
        HeightField ground = RandomGround(random.Split("ground"));
        PlanningInput input = RandomInput(ground, random.Split("input"));
        PlanningSettings settings = new()
        {
            LineOfSightMetres = random.NextDouble(350, 700),
            RefuseUnseen = false,
            Wind = new Wind(random.NextDouble(0, 6), random.NextDouble(0, 360)),
            ForwardOverlap = random.NextDouble(0.6, 0.85),
            SideOverlap = random.NextDouble(0.55, 0.8),
        };
        return (input, settings);
    }

    private static IEnumerable<string> OfFlight(PlanningResult plan, Sortie sortie)
    {
        AircraftProfile aircraft = plan.Input.Aircraft;
        if (sortie.EnergyWattHours > aircraft.BudgetWattHours + Rounding)
        {
            yield return $"sortie {sortie.Number} needs {sortie.EnergyWattHours} Wh";
        }

        IReadOnlyList<RouteSample> route = sortie.Route;
        for (int at = 0; at < route.Count; at++)
        {
            RouteSample here = route[at];
            double known = plan.Input.Terrain.HeightAt(here.Place.EastMetres, here.Place.NorthMetres);
            double above = here.UpMetres - known;
            if (above < plan.MarginMetres + plan.Settings.CanopyMetres - 0.01)
            {
                yield return $"only {above} m above the known ground";
            }

            if (above > plan.Settings.CeilingMetres + 0.51)
            {
                yield return $"{above} m above ground, over the ceiling";
            }

            if (at + 1 < route.Count)
            {
                double step = here.Place.DistanceTo(route[at + 1].Place);
                double rate =
                    (route[at + 1].UpMetres - here.UpMetres) * here.SpeedMetresPerSecond / Math.Max(0.1, step);
                if (rate > aircraft.ClimbMetresPerSecond + 0.05 || rate < -aircraft.DescentMetresPerSecond - 0.05)
                {
                    yield return $"climbs {rate} m/s over {step} m";
                }

                double wind = AirSpeed(plan.Settings.Wind, here);
                if (wind > aircraft.FastestAirspeedMetresPerSecond + 0.5)
                {
                    yield return $"{wind} m/s through the air";
                }
            }
        }

        foreach (SortieLine line in sortie.Lines)
        {
            if (line.Captures > 1 && line.IntervalSeconds < plan.Input.Camera.ShortestIntervalSeconds - 1e-3)
            {
                yield return $"a capture every {line.IntervalSeconds} s";
            }
        }
    }

    private static IEnumerable<string> OfCaptures(PlanningResult plan, Sortie sortie, HeightField ground)
    {
        Vector3D eye = new(sortie.Home.Place.EastMetres, sortie.Home.Place.NorthMetres, sortie.HomeUpMetres + 1.7);
        Vector3D before = default;
        int line = 0;
        foreach (PlannedTrigger capture in sortie.Captures)
        {
            Vector3D place = capture.PositionLocalMetres;
            double far = (place - eye).Length;
            if (far > plan.Settings.LineOfSightMetres)
            {
                yield return $"capture {capture.Number} is {far} m from the pilot";
            }

            // A march of a metre's steps, from where the eye's own hill no longer touches the line.
            for (double at = 1; at < far; at++)
            {
                Vector3D on = eye + ((place - eye) * (at / far));
                if (ground.HeightAt(on.X, on.Y) > on.Z + 0.15)
                {
                    yield return $"capture {capture.Number} is hidden by ground {at} m from the pilot";
                    break;
                }
            }

            if (capture.Line == line)
            {
                double apart = new PlanPoint(before.X, before.Y).DistanceTo(new PlanPoint(place.X, place.Y));
                if (apart > sortie.Lines[line - 1].BaseMetres + 1e-3)
                {
                    yield return $"captures {apart} m apart, planned {sortie.Lines[line - 1].BaseMetres}";
                }
            }

            (before, line) = (place, capture.Line);
        }
    }

    private static double AirSpeed(Wind wind, RouteSample sample)
    {
        double east =
            (sample.SpeedMetresPerSecond * Math.Sin(sample.AzimuthRadians))
            + (wind.MetresPerSecond * Math.Sin(wind.FromDegrees * Math.PI / 180));
        double north =
            (sample.SpeedMetresPerSecond * Math.Cos(sample.AzimuthRadians))
            + (wind.MetresPerSecond * Math.Cos(wind.FromDegrees * Math.PI / 180));
        return Math.Sqrt((east * east) + (north * north));
    }

    private static HeightField RandomGround(SplittableRandom random)
    {
        double fall = random.NextDouble(0, 0.4);
        double towards = random.NextDouble(0, Math.Tau);
        double ridge = random.NextDouble(0, 35);
        double length = random.NextDouble(60, 160);
        double turn = random.NextDouble(0, Math.Tau);
        return PlanScene.Ground(
            900,
            12,
            (east, north) =>
                (fall * ((east * Math.Sin(towards)) + (north * Math.Cos(towards))))
                + (ridge * Math.Sin(((east * Math.Cos(turn)) + (north * Math.Sin(turn))) / length))
        );
    }

    private static PlanningInput RandomInput(HeightField ground, SplittableRandom random)
    {
        PlanPolygon Star(double east, double north, double radius, int corners)
        {
            double start = random.NextDouble(0, Math.Tau);
            return new PlanPolygon([
                .. Enumerable
                    .Range(0, corners)
                    .Select(at =>
                    {
                        double reach = radius * random.NextDouble(0.45, 1);
                        double angle = start + (Math.Tau * at / corners);
                        return new PlanPoint(east + (reach * Math.Cos(angle)), north + (reach * Math.Sin(angle)));
                    }),
            ]);
        }

        PlanPolygon outer = Star(0, 0, random.NextDouble(70, 190), 4 + random.NextInt32(8));
        IReadOnlyList<PlanPoint>[] holes = random.NextDouble() < 0.5 ? [Star(0, 0, 25, 5).Outer] : [];
        List<PlanPolygon> blocks = [new PlanPolygon(outer.Outer, holes)];
        if (random.NextDouble() < 0.4)
        {
            blocks.Add(Star(300, random.NextDouble(-100, 100), 60, 5));
        }

        PlanPoint Home() => new(random.NextDouble(-220, 220), random.NextDouble(-220, 220));
        return PlanScene.Input(ground, random.NextDouble(0.3, 10), blocks, Home(), Home(), Home());
    }
}
