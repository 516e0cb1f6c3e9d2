using System.Globalization;
using Hillrow.Sheets;

namespace Hillrow.Planning;

/// <summary>A table of the flight card.</summary>
/// <param name="Title">Its heading.</param>
/// <param name="Columns">Titles; numbers are set to the right.</param>
/// <param name="Rows">One text for each column.</param>
internal sealed record CardTable(
    string Title,
    IReadOnlyList<TableColumn> Columns,
    IReadOnlyList<IReadOnlyList<string>> Rows
);

/// <summary>What the flight card says, the same on the page and on paper.</summary>
internal static class CardContent
{
    public const string AskedTitle = "What is asked";

    public static string Title(string name, string estate) => $"Flight card: {estate}, {name}";

    public static IReadOnlyList<string> Cautions(PlanningResult plan) => [.. PlanCautions.Always, .. plan.Cautions];

    public static string SortieTitle(Sortie sortie) => Text($"Sortie {sortie.Number}, from {sortie.Home.Name}");

    public static IReadOnlyList<(string What, string Value)> Asked(PlanningResult plan)
    {
        PlanningSettings settings = plan.Settings;
        List<(string, string)> rows =
        [
            ("Camera, band", $"{plan.Input.Camera.Name}, {plan.Input.Camera.BandName}"),
            ("Aircraft", plan.Input.Aircraft.Name),
            ("Pixel on the ground", Text($"{100 * settings.PixelMetres:0.#} cm")),
            ("Height above ground", Text($"{plan.HeightMetres:0} m (ceiling {settings.CeilingMetres:0} m)")),
            (
                "Overlap forward, side",
                Text(
                    $"{100 * settings.ForwardOverlap:0} %, {100 * settings.SideOverlap:0} %: {settings.Views} captures see every place"
                )
            ),
            (
                "Seen (nominal ground)",
                Text(
                    $"least {plan.Coverage.LeastViews}, half of the ground {plan.Coverage.MedianViews:0} captures or more"
                )
            ),
            (
                "Clearance",
                Text(
                    $"{settings.ClearanceMetres:0} m over ground, crop and obstacles at {100 * settings.ClearanceProbability:0.##} %: {plan.MarginMetres:0} m over what is known"
                )
            ),
            ("Terrain's standard error", Text($"{plan.Input.TerrainSigmaMetres:0.#} m")),
            ("Wind planned for", Text($"{settings.Wind.MetresPerSecond:0.#} m/s from {settings.Wind.FromDegrees:0}°")),
            (
                "Captures, storage",
                Text(
                    $"{plan.CaptureCount}, up to {plan.StorageBytes / 1e9:0.0} GB; {plan.CapturesPerHectare:0} a hectare, {plan.LevelCapturesPerHectare:0} inside a level field without errors"
                )
            ),
            (
                "Motion in the picture",
                Text($"up to {plan.LargestBlurPixels:0.00} pixels at {1000 * settings.LongestExposureSeconds:0.##} ms")
            ),
        ];
        if (GoodLight(plan) is { } good)
        {
            rows.Add(("Good light (UTC)", good));
        }

        return rows;
    }

    public static IReadOnlyList<(string What, string Value)> Of(PlanningResult plan, Sortie sortie, PlanPlaces places)
    {
        WorldPlace home = places.Of(sortie.Home.Place, sortie.HomeUpMetres, sortie);
        AircraftProfile aircraft = plan.Input.Aircraft;
        return
        [
            (
                "Home",
                Text(
                    $"{home.LatitudeDegrees:0.000000}, {home.LongitudeDegrees:0.000000}; {home.SeaLevelMetres:0} m above sea level (EGM96), {home.EllipsoidMetres:0} m above the WGS 84 ellipsoid"
                )
            ),
            ("In the air", Text($"{sortie.Seconds / 60:0.0} min")),
            (
                "Battery",
                Text(
                    $"{100 * sortie.EnergyWattHours / aircraft.BatteryWattHours:0} % used, {100 * aircraft.ReserveShare:0} % kept"
                )
            ),
            (
                "Lines, turns, transit",
                Text(
                    $"{sortie.LineMetres / 1000:0.0} km in {sortie.Lines.Count}, {sortie.TurnMetres / 1000:0.0} km, {sortie.TransitMetres / 1000:0.0} km"
                )
            ),
            (
                "Climbs",
                Text($"{sortie.ClimbMetres:0} m in all; highest {sortie.HighestAboveHomeMetres:0} m above home")
            ),
            ("Highest above ground", Text($"{sortie.HighestAboveGroundMetres:0} m")),
            ("Nearest to what is known", Text($"{sortie.LeastClearanceMetres:0} m")),
            ("Farthest from the pilot", Text($"{sortie.FarthestMetres:0} m")),
            (
                "Captures",
                Text(
                    $"{sortie.Captures.Count}, every {sortie.Lines.Min(line => line.BaseMetres):0.0} m or more, {sortie.Lines.Min(line => line.IntervalSeconds):0.0} s or longer (camera: {plan.Input.Camera.ShortestIntervalSeconds:0.0} s)"
                )
            ),
            (
                "Speed on lines",
                Text(
                    $"{sortie.Lines.Min(line => line.SpeedMetresPerSecond):0.0} to {sortie.Lines.Max(line => line.SpeedMetresPerSecond):0.0} m/s"
                )
            ),
        ];
    }

    /// <summary>Tables that concern the whole plan; those that have nothing to say are left out.</summary>
    public static IEnumerable<CardTable> Tables(PlanningResult plan, PlanPlaces places) =>
        new[] { CardTables.Directions(plan), CardTables.Light(plan), CardTables.Marks(plan, places) }.Where(table =>
            table.Rows.Count > 0
        );

    internal static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);

    private static string? GoodLight(PlanningResult plan)
    {
        if (plan.Light.Count == 0)
        {
            return null;
        }

        string[] windows =
        [
            .. CardTables
                .Windows(plan.Light)
                .Where(window => window.First.Recommended)
                .Select(window => Text($"{window.First.Moment:HH:mm} to {window.Last.Moment.AddMinutes(10):HH:mm}")),
        ];
        return windows.Length == 0 ? "none on this day: see the table for why" : string.Join(", ", windows);
    }
}
