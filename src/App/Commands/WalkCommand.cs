using System.CommandLine;
using Hillrow.Estate;

namespace Hillrow.App.Commands;

/// <summary>Tells where a scout goes, and writes it for phone, paper and receiver.</summary>
internal static class WalkCommand
{
    public static Command Create(CommandOutput speech, CancellationToken cancellation)
    {
        Argument<string> folder = Given.Estate();
        Argument<string?> survey = UpToDate.Survey();
        Option<string?> language = Given.Text("--language", "en, es or pt; the estate's own if not said.", "CODE");
        Option<bool> asIs = UpToDate.AsIs();
        Command command = new(
            "walk",
            "List where to dig and what to look at, in the order of a short round; as phone page, CSV, GPX and KML."
        )
        {
            folder,
            survey,
            language,
            asIs,
        };
        command.SetAction(parsed =>
        {
            EstateFolder estate = EstateFolder.Open(parsed.GetRequiredValue(folder));
            Language? spoken = Given.Language("--language", parsed.GetValue(language));
            if (UpToDate.Bring(estate, parsed.GetValue(asIs), speech, cancellation) is { } code)
            {
                return code;
            }

            WalkWritten written = WalkWriting.Write(estate, parsed.GetValue(survey), spoken, cancellation);
            foreach (WalkLineWritten stop in written.Stops)
            {
                speech.Line(
                    FormattableString.Invariant(
                        $"{stop.Number, 3}  {stop.Latitude:F6}, {stop.Longitude:F6}  {stop.Block}, plant {stop.Plant}: {stop.Task}{(stop.Patch.Length == 0 ? "" : $" (patch {stop.Patch})")}{(stop.IsSteep ? "; steep way" : "")}"
                    )
                );
            }

            speech.Line(
                FormattableString.Invariant(
                    $"{written.Stops.Count} stops, {written.Metres:0} m, about {written.Minutes:0} min without digging."
                )
            );
            foreach (string file in written.Files)
            {
                speech.Line($"  {file}");
            }

            speech.Result(new { ok = true, written });
            return ExitCodes.Done;
        });
        return command;
    }
}
