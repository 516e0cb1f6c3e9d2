using System.Globalization;
using Hillrow.Earth;
using Hillrow.Intake;
using Hillrow.Numerics;
using Hillrow.Planning;

namespace Hillrow.Estate;

/// <summary>The plan that a survey was flown by, in the field check's frame.</summary>
internal static class PlannedFlights
{
    /// <param name="estate">The estate.</param>
    /// <param name="survey">Flown on its day.</param>
    /// <param name="name">Plan that a person named; null takes the last made for the survey's day, else none.</param>
    /// <param name="frame">Of the check.</param>
    /// <exception cref="InputProblemException">The plan named is not there, or the plan cannot be read.</exception>
    public static WantedFlight? Of(EstateFolder estate, SurveyFolder survey, string? name, LocalFrame frame)
    {
        FiledPlan? plan;
        try
        {
            plan = FiledPlans.Choose(estate, name, survey.Date);
        }
        catch (InputProblemException) when (name is null)
        {
            // A damaged plan that nobody asked for must not stop the check; `hillrow pack` tells of it.
            return null;
        }

        string day = survey.Date.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);
        bool meant =
            name is not null || plan?.Date == survey.Date || plan?.Name.Contains(day, StringComparison.Ordinal) == true;
        return plan is null || !meant
            ? null
            : new WantedFlight(
                plan.Name,
                plan.Asked.ForwardOverlap,
                plan.Asked.SideOverlap,
                plan.Asked.PixelMetres,
                [
                    .. plan.Sorties.SelectMany(sortie =>
                        sortie.Captures.Select(capture =>
                        {
                            Vector3D at = frame.ToLocal(plan.Frame.ToGeodetic(capture.PositionLocalMetres));
                            return new WantedCapture(sortie.Number, capture.Line, new LocalPlace(at.X, at.Y));
                        })
                    ),
                ]
            );
    }
}
