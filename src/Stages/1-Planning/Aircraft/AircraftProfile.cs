namespace Hillrow.Planning;

/// <summary>What the small aircraft can do: energy, speeds, climbs, turns, and how well it knows where it is.</summary>
/// <remarks>Kept as a TOML file; every setting is told in docs/stages/1-planning.md. Only aircraft that can hover.</remarks>
public sealed record AircraftProfile
{
    public required string Name { get; init; }

    /// <summary>Usable energy of one full battery.</summary>
    public required double BatteryWattHours { get; init; }

    /// <summary>Share of the battery that is never planned for: 0.25 lets a pilot abort and come home against the wind.</summary>
    public double ReserveShare { get; init; } = 0.25;

    public required PowerCurve Power { get; init; }

    /// <summary>Fastest speed over ground while taking pictures.</summary>
    public double SurveySpeedMetresPerSecond { get; init; } = 8;

    /// <summary>Speed over ground between lines and home.</summary>
    public double TransitSpeedMetresPerSecond { get; init; } = 10;

    /// <summary>Slowest speed that still keeps a straight line in gusts; below it a plan is refused.</summary>
    public double SlowestSurveySpeedMetresPerSecond { get; init; } = 1.5;

    /// <summary>Fastest through the air; a head wind takes its part of it.</summary>
    public double FastestAirspeedMetresPerSecond { get; init; } = 15;

    public double ClimbMetresPerSecond { get; init; } = 3;

    public double DescentMetresPerSecond { get; init; } = 2;

    /// <summary>Greatest change of the climb rate in a second.</summary>
    public double VerticalAccelerationMetresPerSecondSquared { get; init; } = 1.5;

    /// <summary>Greatest sideways acceleration in turns (2.5 is a bank of 14°).</summary>
    public double TurnAccelerationMetresPerSecondSquared { get; init; } = 2.5;

    /// <summary>Fastest speed in turns between lines.</summary>
    public double TurnSpeedMetresPerSecond { get; init; } = 4;

    /// <summary>Standard error of the aircraft's own height, against the datum its heights are given in.</summary>
    public double HeightSigmaMetres { get; init; } = 2;

    /// <summary>How far it may stray sideways from its route, its own half width included.</summary>
    public double SidewaysErrorMetres { get; init; } = 5;

    /// <summary>
    /// Share of the climb above home by which it may fly lower than it reads: 0 when heights come from satellites, 0.08
    /// when from air pressure alone (6–8 % was measured on a steep slope: Kozmus Trajkovski, Grigillo and Petrovič
    /// 2020, Remote Sensing 12:1293).
    /// </summary>
    public double ClimbLossShare { get; init; }

    /// <summary>Energy that may be planned for a sortie, watt hours.</summary>
    public double BudgetWattHours => BatteryWattHours * (1 - ReserveShare);

    /// <summary>Every broken rule, naming the setting, the value and what is allowed.</summary>
    public IReadOnlyList<string> Problems()
    {
        List<string> problems = [];
        void Within(string name, double value, double low, double high)
        {
            if (!(value >= low && value <= high))
            {
                problems.Add(FormattableString.Invariant($"{name} is {value}, but must be from {low} to {high}"));
            }
        }

        Within("batteryWattHours", BatteryWattHours, 1, 20_000);
        Within("reserveShare", ReserveShare, 0.05, 0.8);
        Within("surveySpeedMetresPerSecond", SurveySpeedMetresPerSecond, 1, 60);
        Within("transitSpeedMetresPerSecond", TransitSpeedMetresPerSecond, 1, 60);
        Within("slowestSurveySpeedMetresPerSecond", SlowestSurveySpeedMetresPerSecond, 0.2, 20);
        Within("fastestAirspeedMetresPerSecond", FastestAirspeedMetresPerSecond, 2, 100);
        Within("climbMetresPerSecond", ClimbMetresPerSecond, 0.2, 20);
        Within("descentMetresPerSecond", DescentMetresPerSecond, 0.2, 20);
        Within("verticalAccelerationMetresPerSecondSquared", VerticalAccelerationMetresPerSecondSquared, 0.1, 20);
        Within("turnAccelerationMetresPerSecondSquared", TurnAccelerationMetresPerSecondSquared, 0.2, 20);
        Within("turnSpeedMetresPerSecond", TurnSpeedMetresPerSecond, 0.5, 30);
        Within("heightSigmaMetres", HeightSigmaMetres, 0, 50);
        Within("sidewaysErrorMetres", SidewaysErrorMetres, 0.5, 100);
        Within("climbLossShare", ClimbLossShare, 0, 0.3);
        problems.AddRange(Power.Problems());
        if (SlowestSurveySpeedMetresPerSecond > SurveySpeedMetresPerSecond)
        {
            problems.Add("slowestSurveySpeedMetresPerSecond is above surveySpeedMetresPerSecond");
        }

        return problems;
    }
}

/// <summary>Electric power against speed through the air and climb rate.</summary>
/// <param name="AirspeedsMetresPerSecond">Ascending, from 0 (hover).</param>
/// <param name="Watts">In level flight at those speeds; held at the last value beyond.</param>
/// <param name="WattsPerMetrePerSecondClimb">Added while climbing; descending saves nothing.</param>
public sealed record PowerCurve(
    IReadOnlyList<double> AirspeedsMetresPerSecond,
    IReadOnlyList<double> Watts,
    double WattsPerMetrePerSecondClimb
)
{
    /// <summary>
    /// A curve for an aircraft of which only the time in the air is known: hovering empties the battery in that time,
    /// and a metre a second of climb costs a tenth more.
    /// </summary>
    public static PowerCurve OfEndurance(double batteryWattHours, double enduranceMinutes)
    {
        double watts = batteryWattHours * 60 / enduranceMinutes;
        return new PowerCurve([0], [watts], 0.1 * watts);
    }

    public double HoverWatts => Watts[0];

    public double At(double airspeedMetresPerSecond, double climbMetresPerSecond)
    {
        int above = 0;
        while (above < AirspeedsMetresPerSecond.Count && AirspeedsMetresPerSecond[above] < airspeedMetresPerSecond)
        {
            above++;
        }

        double level =
            above == 0 ? Watts[0]
            : above == Watts.Count ? Beyond(airspeedMetresPerSecond)
            : Watts[above - 1]
                + (
                    (Watts[above] - Watts[above - 1])
                    * (airspeedMetresPerSecond - AirspeedsMetresPerSecond[above - 1])
                    / (AirspeedsMetresPerSecond[above] - AirspeedsMetresPerSecond[above - 1])
                );
        return level + (Math.Max(0, climbMetresPerSecond) * WattsPerMetrePerSecondClimb);
    }

    /// <summary>Past the last speed drag grows with the cube of the speed; a curve of one point stays flat.</summary>
    private double Beyond(double airspeed)
    {
        double ratio = Watts.Count < 2 ? 1 : airspeed / AirspeedsMetresPerSecond[^1];
        return Watts[^1] * ratio * ratio * ratio;
    }

    internal IEnumerable<string> Problems()
    {
        if (
            Watts.Count == 0
            || Watts.Count != AirspeedsMetresPerSecond.Count
            || AirspeedsMetresPerSecond[0] != 0
            || AirspeedsMetresPerSecond.Zip(AirspeedsMetresPerSecond.Skip(1)).Any(pair => !(pair.Second > pair.First))
        )
        {
            yield return "power: airspeedsMetresPerSecond must ascend from 0 and be as many as watts";
        }
        else if (Watts.Any(watts => !(watts > 0)) || !(WattsPerMetrePerSecondClimb >= 0))
        {
            yield return "power: watts must be above 0, wattsPerMetrePerSecondClimb 0 or more";
        }
    }
}
