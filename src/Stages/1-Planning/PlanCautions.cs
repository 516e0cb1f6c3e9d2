using System.Globalization;

namespace Hillrow.Planning;

/// <summary>What a pilot must know before flying a plan; the first lines stand on every flight card.</summary>
public static class PlanCautions
{
    /// <summary>National rules and the pilot's judgement come first.</summary>
    public static IReadOnlyList<string> Always { get; } =
    [
        "National flight rules, licences and the pilot's judgement come before this plan. Where they differ, they rule.",
        "Look at the whole area yourself before take-off: wires, masts, trees and people are not in terrain data.",
        "Give way to every crewed aircraft. Keep the aircraft in sight. Do not fly over people.",
        "Heights come from terrain data with errors of many metres. Never rely on these numbers alone for a safe height.",
        "Turn home at the battery level you decided on before take-off, whatever the plan says.",
    ];

    /// <summary>Largest part of a climb that air pressure alone lost on a steep slope (Remote Sensing 12:1293).</summary>
    private const double BarometricLossShare = 0.08;

    private const double LongClimbMetres = 60;

    internal static IEnumerable<string> Of(
        PlanningInput input,
        PlanningSettings settings,
        IReadOnlyList<Sortie> sorties,
        PlannedCoverage coverage
    )
    {
        static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
        double climb = sorties.Count == 0 ? 0 : sorties.Max(sortie => sortie.HighestAboveHomeMetres);
        if (climb > LongClimbMetres)
        {
            string allowed =
                input.Aircraft.ClimbLossShare > 0
                    ? Text($"the plan allows for {100 * input.Aircraft.ClimbLossShare:0} %")
                    : "the plan does not allow for it: fly by satellite heights, or set climbLossShare in the aircraft's profile";
            yield return Text(
                $"The route climbs {climb:0} m above home. An aircraft that takes its height from air pressure alone may fly up to {BarometricLossShare * climb:0} m lower than planned there; {allowed}."
            );
        }

        double hidden = sorties.Sum(sortie => sortie.HiddenMetres);
        if (hidden > 0)
        {
            yield return Text(
                $"For {hidden:0} m of turns and ways the aircraft is hidden from the pilot at home, or too far away: walk to where you see it, or place an observer."
            );
        }

        if (coverage.NominalShare < 0.9995)
        {
            yield return Text(
                $"{100 * coverage.NominalShare:0.0} % of the blocks get the asked overlap on the ground as it is known (no-fly areas and parts left out count as missing)."
            );
        }

        if (coverage.PromisedShare < settings.OverlapProbability - 0.0005)
        {
            yield return Text(
                $"The terrain is so uncertain that {100 * coverage.PromisedShare:0.0} % of the places are expected to keep the asked overlap, where {100 * settings.OverlapProbability:0.##} % are asked: give a better ground (--surface)."
            );
        }

        foreach (NoFlyArea area in input.NoFly)
        {
            yield return Text($"No-fly area \"{area.Name}\": the route keeps {settings.NoFlyMarginMetres:0} m away.");
        }

        foreach (Obstacle obstacle in input.Obstacles)
        {
            yield return Text(
                $"Obstacle \"{obstacle.Name}\", {obstacle.HeightAboveGroundMetres:0} m high: the route stays {settings.ClearanceMetres:0} m above it and more."
            );
        }

        if (input.Obstacles.Count == 0)
        {
            yield return "No wires, masts or trees were given to the plan. Walk the site and add those that stand there.";
        }

        int longest = sorties.Count == 0 ? 0 : sorties.Max(sortie => sortie.Captures.Count);
        yield return Text(
            $"The card needs {longest * input.Camera.BytesPerCapture / 1e9:0.0} GB free for the longest sortie."
        );
    }
}
