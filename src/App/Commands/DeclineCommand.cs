using System.CommandLine;
using System.Globalization;
using Hillrow.Earth;
using Hillrow.Estate;

namespace Hillrow.App.Commands;

/// <summary>Says which plants are failing, how many, how bad, and where they stand together.</summary>
internal static class DeclineCommand
{
    private static readonly string[] Classes = ["light", "moderate", "severe"];

    public static Command Create(CommandOutput speech, CancellationToken cancellation)
    {
        Argument<string> folder = Given.Estate();
        Argument<string?> survey = UpToDate.Survey();
        Option<bool> asIs = UpToDate.AsIs();
        Command command = new(
            "decline",
            "Say which plants are failing, how many, how bad, and where they stand together."
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
            IReadOnlyList<string> files = AnswerFiles.Write(estate, "decline", asked);
            Tell(speech, estate, book, asked);
            foreach (string file in files)
            {
                speech.Line($"  {file}");
            }

            speech.Result(
                new
                {
                    ok = true,
                    survey = asked,
                    estate = book.Of(asked, "estate"),
                    blocks = book.Of(asked, "blocks"),
                    patches = book.Of(asked, "patches"),
                    files,
                }
            );
            return ExitCodes.Done;
        });
        return command;
    }

    private static void Tell(CommandOutput speech, EstateFolder estate, FindingsBook book, string survey)
    {
        Dictionary<string, Finding> all = book.Of(survey, "estate").ToDictionary(finding => finding.Quantity);
        speech.Line(
            string.Create(
                CultureInfo.InvariantCulture,
                $"{survey}: {all["declining"].Value:0} of {all["plants"].Value:0} plants are declining ({FindingText.Share(all["share"])}), {all["patches"].Value:0} patches."
            )
        );
        ILookup<string, Finding> plants = book.Of(survey, "decline").ToLookup(finding => finding.Block);
        foreach (IGrouping<string, Finding> block in book.Of(survey, "blocks").GroupBy(finding => finding.Subject))
        {
            Dictionary<string, Finding> known = block.ToDictionary(finding => finding.Quantity);
            string classes = string.Join(
                ", ",
                Classes.Select(word => $"{plants[block.Key].Count(plant => plant.Word == word)} {word}")
            );
            speech.Line(
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"  {block.Key}: {known["declining"].Value:0} of {known["plants"].Value:0} plants ({FindingText.Share(known["share"])}): {classes}; {known["gaps"].Value:0} gaps"
                )
            );
        }

        foreach (Finding patch in book.Of(survey, "patches").Where(finding => finding.Quantity == "plants"))
        {
            GeographicPoint? place = patch.Place is { } middle ? estate.ReferenceSystem.ToWgs84(middle) : null;
            speech.Line(
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"  patch {patch.Subject} in {patch.Block}: {patch.Value:0} plants at {place?.Latitude.Degrees:F6}, {place?.Longitude.Degrees:F6}. {patch.Message} {patch.Remedy}"
                )
            );
        }
    }
}
