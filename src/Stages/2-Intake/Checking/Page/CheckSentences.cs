namespace Hillrow.Intake;

/// <summary>What a field check says, in any language: why to fly again, and what to look at.</summary>
internal static class CheckSentences
{
    public static IEnumerable<string> Reasons(FieldCheckResult check, FieldCheckSettings settings, CheckTexts texts)
    {
        foreach (CoverageHole hole in check.Holes)
        {
            yield return texts.Fill(
                "reason.hole",
                hole.Block,
                hole.AreaSquareMetres,
                settings.LeastViews,
                hole.WidthMetres,
                Math.Ceiling(hole.Minutes),
                check.Placing.WidthSigmaMetres
            );
        }

        if (check.Panel.Before + check.Panel.After == 0 && check.Light.Spread is null)
        {
            yield return texts["reason.noLight"];
        }
    }

    public static IEnumerable<string> Cautions(FieldCheckResult check, FieldCheckSettings settings, CheckTexts texts)
    {
        if (Panel(check.Panel, settings, texts) is { } panel)
        {
            yield return panel;
        }

        if (check.Light.Spread is not { } spread)
        {
            yield return texts["light.none"];
        }
        else if (!check.Light.Steady)
        {
            yield return texts.Fill("light.broken", 100 * spread);
        }

        foreach (CheckSentence said in FlightAchieving.Shortfalls(check.Achieved))
        {
            yield return texts.Fill(said);
        }
    }

    /// <summary>The check's own words where they say more than the figures tell.</summary>
    private static string? Panel(PanelCheck panel, FieldCheckSettings settings, CheckTexts texts)
    {
        string? said =
            panel.Before + panel.After == 0 ? texts["panel.none"]
            : panel.Before == 0 ? texts["panel.afterOnly"]
            : panel.After == 0 ? texts["panel.beforeOnly"]
            : panel.LargestDisagreement > settings.PanelDisagreement
                ? texts.Fill("panel.differ", 100 * panel.LargestDisagreement.Value)
            : null;
        if (panel.TooDark > 0)
        {
            string dark = texts.Fill("panel.dark", panel.TooDark);
            said = said is null ? dark : $"{said}; {dark}";
        }

        return panel.Told.Length > 0 && (said is null || texts.Language == "en") ? panel.Told : said;
    }
}
