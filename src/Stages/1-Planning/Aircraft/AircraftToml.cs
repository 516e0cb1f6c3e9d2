using System.Globalization;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Tomlyn.Model;

namespace Hillrow.Planning;

/// <summary>Reads and writes aircraft profiles. All problems of a file are told together.</summary>
public static class AircraftToml
{
    private const int LongestText = 1 << 20;

    private static readonly string[] Numbers =
    [
        "batteryWattHours",
        "enduranceMinutes",
        "reserveShare",
        "surveySpeedMetresPerSecond",
        "transitSpeedMetresPerSecond",
        "slowestSurveySpeedMetresPerSecond",
        "fastestAirspeedMetresPerSecond",
        "climbMetresPerSecond",
        "descentMetresPerSecond",
        "verticalAccelerationMetresPerSecondSquared",
        "turnAccelerationMetresPerSecondSquared",
        "turnSpeedMetresPerSecond",
        "heightSigmaMetres",
        "sidewaysErrorMetres",
        "climbLossShare",
    ];

    /// <summary>A cautious small four-rotor aircraft: 20 minutes in the air. Replace it by your own aircraft's figures.</summary>
    public const string Cautious = """
        # What the small aircraft can do. Replace the figures by your own aircraft's; docs/stages/1-planning.md tells each.
        name = "cautious four-rotor"
        batteryWattHours = 90.0
        enduranceMinutes = 20.0          # hovering, full to empty; or give [power]
        reserveShare = 0.25              # never planned for
        surveySpeedMetresPerSecond = 8.0
        transitSpeedMetresPerSecond = 10.0
        slowestSurveySpeedMetresPerSecond = 1.5
        fastestAirspeedMetresPerSecond = 14.0
        climbMetresPerSecond = 3.0
        descentMetresPerSecond = 2.5
        verticalAccelerationMetresPerSecondSquared = 1.5
        turnAccelerationMetresPerSecondSquared = 2.5
        turnSpeedMetresPerSecond = 4.0
        heightSigmaMetres = 2.0          # of the aircraft's own height
        sidewaysErrorMetres = 5.0
        climbLossShare = 0.0             # 0.08 when its height comes from air pressure alone
        """;

    /// <exception cref="InputProblemException">Cannot be read, or settings are at fault.</exception>
    public static AircraftProfile Load(string path)
    {
        try
        {
            return new FileInfo(path).Length <= LongestText
                ? Parse(File.ReadAllText(path), path)
                : throw new InputProblemException(path, "is too large for an aircraft profile.", "Name a TOML file.");
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            throw new InputProblemException(path, "cannot be read.", "Check that the file is there.", fault);
        }
    }

    /// <param name="text">TOML.</param>
    /// <param name="where">Names the file in messages.</param>
    /// <exception cref="InputProblemException">Not TOML, or settings are at fault: all are told.</exception>
    public static AircraftProfile Parse(string text, string where)
    {
        ArgumentNullException.ThrowIfNull(text);
        TomlTable root = TomlText.Read(text, where);
        List<string> problems =
        [
            .. root
                .Keys.Where(key => key is not ("name" or "power") && !Numbers.Contains(key))
                .Select(key => $"{key} is not a setting of an aircraft profile"),
        ];
        double? Number(string key) => root.TryGetValue(key, out object? value) ? ToNumber(key, value, problems) : null;
        string name = root.TryGetValue("name", out object? given) && given is string told ? told : "";
        if (name.Length is 0 or > 80)
        {
            problems.Add("name must be 1 to 80 characters");
        }

        double battery = Number("batteryWattHours") ?? Missing("batteryWattHours", problems);
        PowerCurve? power = root.TryGetValue("power", out object? table) ? ReadPower(table, problems) : null;
        double? endurance = Number("enduranceMinutes");
        if (endurance is not null == power is not null)
        {
            problems.Add("give either enduranceMinutes or the table power");
        }

        if (endurance is { } minutes && !(minutes is >= 1 and <= 600))
        {
            problems.Add(FormattableString.Invariant($"enduranceMinutes is {minutes}, but must be from 1 to 600"));
        }

        AircraftProfile plain = new()
        {
            Name = name,
            BatteryWattHours = battery,
            Power = power ?? PowerCurve.OfEndurance(battery, endurance is > 0 ? endurance.Value : 20),
        };
        AircraftProfile profile = plain with
        {
            ReserveShare = Number("reserveShare") ?? plain.ReserveShare,
            SurveySpeedMetresPerSecond = Number("surveySpeedMetresPerSecond") ?? plain.SurveySpeedMetresPerSecond,
            TransitSpeedMetresPerSecond = Number("transitSpeedMetresPerSecond") ?? plain.TransitSpeedMetresPerSecond,
            SlowestSurveySpeedMetresPerSecond =
                Number("slowestSurveySpeedMetresPerSecond") ?? plain.SlowestSurveySpeedMetresPerSecond,
            FastestAirspeedMetresPerSecond =
                Number("fastestAirspeedMetresPerSecond") ?? plain.FastestAirspeedMetresPerSecond,
            ClimbMetresPerSecond = Number("climbMetresPerSecond") ?? plain.ClimbMetresPerSecond,
            DescentMetresPerSecond = Number("descentMetresPerSecond") ?? plain.DescentMetresPerSecond,
            VerticalAccelerationMetresPerSecondSquared =
                Number("verticalAccelerationMetresPerSecondSquared")
                ?? plain.VerticalAccelerationMetresPerSecondSquared,
            TurnAccelerationMetresPerSecondSquared =
                Number("turnAccelerationMetresPerSecondSquared") ?? plain.TurnAccelerationMetresPerSecondSquared,
            TurnSpeedMetresPerSecond = Number("turnSpeedMetresPerSecond") ?? plain.TurnSpeedMetresPerSecond,
            HeightSigmaMetres = Number("heightSigmaMetres") ?? plain.HeightSigmaMetres,
            SidewaysErrorMetres = Number("sidewaysErrorMetres") ?? plain.SidewaysErrorMetres,
            ClimbLossShare = Number("climbLossShare") ?? plain.ClimbLossShare,
        };
        problems.AddRange(profile.Problems());
        return problems.Count == 0
            ? profile
            : throw new InputProblemException(
                where,
                string.Join("; ", problems.Distinct().Take(12)) + ".",
                "docs/stages/1-planning.md tells each setting."
            );
    }

    private static double Missing(string key, List<string> problems)
    {
        problems.Add($"{key} is missing");
        return 1;
    }

    private static double? ToNumber(string key, object? value, List<string> problems)
    {
        switch (value)
        {
            case double number when double.IsFinite(number):
                return number;
            case long whole:
                return whole;
            default:
                problems.Add(string.Create(CultureInfo.InvariantCulture, $"{key} is {value}, but must be a number"));
                return null;
        }
    }

    private static PowerCurve? ReadPower(object? table, List<string> problems)
    {
        if (table is not TomlTable power)
        {
            problems.Add("power must be a table");
            return null;
        }

        double[]? List(string key)
        {
            if (!power.TryGetValue(key, out object? value) || value is not TomlArray array || array.Count is 0 or > 100)
            {
                problems.Add($"power.{key} must be a list of numbers");
                return null;
            }

            return [.. array.Select(one => ToNumber("power." + key, one, problems) ?? double.NaN)];
        }

        problems.AddRange(
            power
                .Keys.Where(key => key is not ("airspeedsMetresPerSecond" or "watts" or "wattsPerMetrePerSecondClimb"))
                .Select(key => $"power.{key} is not a setting of an aircraft profile")
        );
        double[]? speeds = List("airspeedsMetresPerSecond");
        double[]? watts = List("watts");
        double? climb = power.TryGetValue("wattsPerMetrePerSecondClimb", out object? given)
            ? ToNumber("power.wattsPerMetrePerSecondClimb", given, problems)
            : null;
        return speeds is null || watts is null ? null : new PowerCurve(speeds, watts, climb ?? (0.1 * watts[0]));
    }
}
