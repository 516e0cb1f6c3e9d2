namespace Hillrow.Planning;

/// <summary>Every file of a plan, by name, the plan itself last: it makes the folder a plan.</summary>
public static class PlanFiles
{
    public static IEnumerable<(string File, string Text)> Of(PlanningResult plan, string name, string estate)
    {
        yield return ("plan.json", PlanJson.Of(plan, name));
    }
}
