using System.CommandLine;
using System.Globalization;
using Hillrow.Estate;
using Hillrow.Numerics;

namespace Hillrow.App.Commands;

/// <summary>Says what changed since the survey before, how fast patches grow, and who is at risk.</summary>
internal static class SpreadCommand
{
    private const int MostAtRisk = 10;

    public static Command Create(CommandOutput speech, CancellationToken cancellation)
    {
        Argument<string> folder = Given.Estate();
        Argument<string?> survey = UpToDate.Survey();
        Option<bool> asIs = UpToDate.AsIs();
        Command command = new(
            "spread",
            "Say what changed since the survey before: new, standing, recovered, how fast, who is at risk."
        )
        {
            folder,
            survey,
            asIs,
        };
        command.SetAction(parsed =>
        {
            EstateFolder estate = EstateFolder.Open(parsed.GetRequiredValue(folder));
            if (UpToDate.Bring(estate, parsed.GetValue(asIs), speech, cancellation) is { } code)
            {
                return code;
            }

            FindingsBook book = new(estate);
            string asked = book.SurveyOf(parsed.GetValue(survey));
            string[] earlier = [.. book.Surveys().Where(one => string.CompareOrdinal(one, asked) < 0)];
            if (earlier.Length == 0)
            {
                throw new InputProblemException(
                    $"survey \"{asked}\"",
                    "is the first: there is nothing to compare it with.",
                    "Fly again at the same season and sun height, and add that survey."
                );
            }

            IReadOnlyList<string> files = AnswerFiles.Write(estate, "spread", asked);
            Tell(speech, book, earlier[^1], asked);
            foreach (string file in files)
            {
                speech.Line($"  {file}");
            }

            speech.Result(
                new
                {
                    ok = true,
                    survey = asked,
                    since = earlier[^1],
                    estate = book.Of(asked, "estate"),
                    transitions = book.Of(asked, "transition"),
                    advances = book.Of(asked, "patches").Where(finding => finding.Quantity == "advance"),
                    trends = book.Of(asked, "blocks").Where(finding => finding.Quantity == "trend"),
                    files,
                }
            );
            return ExitCodes.Done;
        });
        return command;
    }

    private static void Tell(CommandOutput speech, FindingsBook book, string before, string survey)
    {
        Dictionary<string, Finding> all = book.Of(survey, "estate").ToDictionary(finding => finding.Quantity);
        string Count(string quantity) =>
            all.TryGetValue(quantity, out Finding? finding) && finding.Value is { } value
                ? value.ToString("0", CultureInfo.InvariantCulture)
                : "–";
        int standing = book.Of(survey, "change").Count(finding => finding.Word == "standing");
        speech.Line(
            $"{before} to {survey}: {Count("new")} plants newly declining, {standing} standing, {Count("recovered")} recovered, {Count("alone")} single ones look worse."
        );
        foreach (Finding transition in book.Of(survey, "transition"))
        {
            speech.Line(
                string.Create(CultureInfo.InvariantCulture, $"  {transition.Word}: {transition.Value:0} plants")
            );
        }

        if (all.TryGetValue("frontspeed", out Finding? speed))
        {
            speech.Line($"  edges of standing patches move outwards by {FindingText.Number(speed)}, {speed.Evidence}");
        }

        foreach (Finding advance in book.Of(survey, "patches").Where(finding => finding.Quantity == "advance"))
        {
            speech.Line($"  patch {advance.Subject}: its edge moved by {FindingText.Number(advance)}");
        }

        if (all.TryGetValue("reach", out Finding? reach))
        {
            speech.Line($"  reach of infection: {FindingText.Number(reach)}; {reach.Evidence}");
        }

        Finding[] risks = [.. book.Of(survey, "risk").OrderByDescending(finding => finding.Value).Take(MostAtRisk)];
        foreach (Finding risk in risks)
        {
            speech.Line(
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"  at risk: {risk.Block}, plant {risk.Plant}: {risk.Value * 100:0} % {risk.Evidence}"
                )
            );
        }

        if (risks.Length == 0)
        {
            speech.Line("  no risk of the neighbours is told: spread explains no more than chance does.");
        }

        foreach (Finding trend in book.Of(survey, "blocks").Where(finding => finding.Quantity == "trend"))
        {
            speech.Line($"  {trend.Subject}: log odds of decline change by {FindingText.Number(trend)}");
        }
    }
}
