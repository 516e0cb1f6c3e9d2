using System.Globalization;

namespace Hillrow.Planning;

/// <summary>Every file of a plan, by name, the plan itself last: it makes the folder a plan.</summary>
public static class PlanFiles
{
    public static IEnumerable<(string File, string Text)> Of(PlanningResult plan, string name, string estate)
    {
        ArgumentNullException.ThrowIfNull(plan);
        PlanPlaces places = new(plan.Input.Frame);
        yield return ("flight-card.html", FlightCard.Of(plan, name, estate));
        yield return ("plan.kml", PlanKml.Of(plan, name));
        yield return ("plan.gpx", PlanGpx.Of(plan, name));
        yield return ("plan.geojson", PlanGeoJson.Of(plan));
        yield return ("captures.csv", PlanCsv.Captures(plan));
        yield return ("sorties.csv", PlanCsv.Sorties(plan));
        if (plan.Light.Count > 0)
        {
            yield return ("light.csv", PlanCsv.Light(plan));
        }

        foreach (Sortie sortie in plan.Sorties)
        {
            yield return (
                string.Create(CultureInfo.InvariantCulture, $"mission-items-{sortie.Number:00}.csv"),
                MissionItems.Of(sortie, places)
            );
        }

        yield return ("plan.json", PlanJson.Of(plan, name));
    }
}
