using System.Globalization;
using System.Text.Json;
using Hillrow.Validation.Chain;

namespace Hillrow.Validation;

/// <summary>
/// One long rehearsed flight, full-size frames of five bands, for figures of speed and memory: flown as low as lets so many
/// captures cover the modelled ground once. Rendered as finely as any: with one ray a pixel the grain differs from
/// capture to capture, and surveys fall apart.
/// </summary>
/// <remarks>
/// The folder that HILLROW_LONG_FLIGHT names is used again when a flight lies in it, and keeps the flight when not; 800
/// captures take 20 GB with their truth and, on two idle cores, about half an hour.
/// </remarks>
internal sealed record LongFlight(string Estate, string Card, string Day, int Captures)
{
    private const string FolderVariable = "HILLROW_LONG_FLIGHT";
    private const string CapturesVariable = "HILLROW_LONG_FLIGHT_CAPTURES";
    private const int UsualCaptures = 800;
    private const string Seed = "7";

    /// <summary>The modelled ground, the largest there is.</summary>
    private const string Hectares = "6";

    /// <summary>From here the usual number of captures covers it at the usual overlap.</summary>
    private const double UsualHeightMetres = 40;

    /// <summary>The aircraft triggers every so many seconds.</summary>
    public const double SecondsPerCapture = 1.5;

    public double FlightSeconds => Captures * SecondsPerCapture;

    /// <summary>The flight; rendered now unless it is at hand.</summary>
    public static LongFlight Of(ValidationRun run)
    {
        const string day = "2026-04-12";
        string root = Environment.GetEnvironmentVariable(FolderVariable) is { Length: > 0 } named
            ? Directory.CreateDirectory(named).FullName
            : run.ScratchFolder;
        int captures = int.Parse(
            Environment.GetEnvironmentVariable(CapturesVariable)
                ?? UsualCaptures.ToString(CultureInfo.InvariantCulture),
            CultureInfo.InvariantCulture
        );
        string estate = Path.Combine(root, "estate");
        if (!File.Exists(Path.Combine(estate, "estate.toml")))
        {
            _ = HillrowProcess.Must(
                "rehearse",
                "estate",
                estate,
                "--seed",
                Seed,
                "--hectares",
                Hectares,
                "--dates",
                day
            );
        }

        string number = captures.ToString(CultureInfo.InvariantCulture);
        double height = Math.Round(UsualHeightMetres * Math.Sqrt((double)UsualCaptures / captures), 1);
        string metres = Math.Clamp(height, 25, 120).ToString(CultureInfo.InvariantCulture);
        run.Say($"flying {captures} captures at {metres} m, or using those at hand, below {root}");
        JsonElement flown = HillrowProcess
            .Must("rehearse", "fly", estate, "--date", day, "--captures", number, "--height", metres, "--json")
            .Result;
        return new LongFlight(
            estate,
            flown.GetProperty("card").GetString()!,
            day,
            // The panel is pictured before and after.
            flown.GetProperty("captures").GetInt32() - 2
        );
    }

    /// <summary>Largest resident memory of this process so far, GiB.</summary>
    public static double PeakGigabytes() =>
        double.Parse(
            File.ReadLines("/proc/self/status")
                .First(line => line.StartsWith("VmHWM:", StringComparison.Ordinal))
                .Split(' ', StringSplitOptions.RemoveEmptyEntries)[1],
            CultureInfo.InvariantCulture
        ) / (1 << 20);
}
