using System.Globalization;
using Hillrow.Estate;

namespace Hillrow.App.Commands;

/// <summary>Says how a number of the findings came about: the number, its formula and source, and the steps that fed it.</summary>
internal static class WhyFinding
{
    private const string PlantWord = "plant";

    /// <param name="speech">Where it is said.</param>
    /// <param name="estate">Whose.</param>
    /// <param name="engine">For the record of the steps.</param>
    /// <param name="asked">"[survey.]question[.subject][.quantity]", "[survey.]plant.NUMBER", or a key with bars.</param>
    /// <returns>False when no finding is meant.</returns>
    public static bool Tell(CommandOutput speech, EstateFolder estate, RunEngine engine, string asked)
    {
        FindingsBook book = new(estate);
        IReadOnlyList<string> surveys = book.Surveys();
        List<string> words = [.. asked.Split(asked.Contains('|', StringComparison.Ordinal) ? '|' : '.')];
        if (surveys.Count == 0 || words.Count == 0)
        {
            return false;
        }

        string survey = surveys[^1];
        if (surveys.Contains(words[0]))
        {
            survey = words[0];
            words.RemoveAt(0);
        }

        // The ends of an interval stand beside their value.
        if (words.Count > 0 && words[^1] is "low" or "high")
        {
            words.RemoveAt(words.Count - 1);
        }

        IReadOnlyList<Finding> found =
            words is [PlantWord, var number]
            && long.TryParse(number, NumberStyles.None, CultureInfo.InvariantCulture, out long plant)
                ? book.OfPlant(survey, plant)
            : words.Count > 0 ? book.Keyed(survey, words)
            : [];
        if (found.Count == 0)
        {
            return false;
        }

        List<object> told = [];
        foreach (Finding finding in found)
        {
            FindingFormula? formula = FindingFormula.Of(finding.Question, finding.Quantity);
            speech.Line(
                $"{Name(finding)}: {(finding.Word.Length > 0 ? finding.Word + ", " : "")}{FindingText.Number(finding)}"
            );
            Line(speech, "means", finding.Message);
            Line(speech, "to do", finding.Remedy);
            Line(speech, "formula", formula?.Formula ?? "");
            Line(speech, "inputs", formula?.Inputs ?? "");
            Line(speech, "source", formula?.Source ?? "");
            Line(speech, "evidence", finding.Evidence);
            told.Add(new { finding, formula });
        }

        StepRecord[] records = [.. engine.Records().Where(record => record.Key.Step == "findings")];
        foreach (StepRecord record in records)
        {
            WhyCommand.Tell(speech, record);
        }

        speech.Result(
            new
            {
                ok = true,
                findings = told,
                records,
            }
        );
        return true;
    }

    private static string Name(Finding finding) =>
        finding.Key.Length > 0
            ? finding.Key.Replace('|', '.')
            : string.Create(
                CultureInfo.InvariantCulture,
                $"{finding.Survey}.{finding.Question}, plant {finding.Plant}"
            );

    private static void Line(CommandOutput speech, string what, string text)
    {
        if (text.Length > 0)
        {
            speech.Line($"  {what, -11} {text}");
        }
    }
}
