using System.Globalization;
using System.Text;
using Hillrow.Sheets;

namespace Hillrow.Planning;

/// <summary>Every file of a plan, by name, the plan itself last: it makes the folder a plan.</summary>
public static class PlanFiles
{
    /// <param name="plan">Finished.</param>
    /// <param name="name">Of the plan.</param>
    /// <param name="estate">Its name.</param>
    /// <param name="paper">The flight card is printed on.</param>
    public static IEnumerable<(string File, byte[] Bytes)> Of(
        PlanningResult plan,
        string name,
        string estate,
        Paper paper
    )
    {
        ArgumentNullException.ThrowIfNull(plan);
        yield return ("flight-card.pdf", FlightCardPdf.Of(plan, name, estate, paper));
        foreach ((string file, string text) in Texts(plan, name, estate))
        {
            yield return (file, Encoding.UTF8.GetBytes(text));
        }
    }

    private static IEnumerable<(string File, string Text)> Texts(PlanningResult plan, string name, string estate)
    {
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
