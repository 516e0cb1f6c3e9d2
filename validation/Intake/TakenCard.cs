using Hillrow.Earth;
using Hillrow.Estate;
using Hillrow.Imaging;
using Hillrow.Intake;
using Hillrow.Numerics;

namespace Hillrow.Validation.Intake;

/// <summary>A card taken into a fresh copy of its estate through the doors that `hillrow intake` uses, and what came out.</summary>
internal sealed record TakenCard(SurveyAdded Added, IntakeResult Intake, FieldCheckResult Check, LocalFrame Frame)
{
    public IEnumerable<FrameFinding> Of(FrameFault fault) => Check.Findings.Where(finding => finding.Fault == fault);

    /// <param name="flown">Its estate is copied.</param>
    /// <param name="cards">Folders.</param>
    /// <param name="folder">Where the estate is to stand; must not be there.</param>
    /// <param name="threads">The result does not depend on it.</param>
    public static TakenCard Take(FlownCard flown, IReadOnlyList<string> cards, string folder, int threads = 2)
    {
        CopyTree(flown.EstateFolder, folder);
        EstateFolder estate = EstateFolder.Open(folder);
        SurveyAdded added = SurveyAddition.Add(
            estate,
            cards,
            new SurveyWishes(new DateOnly(2026, 4, 12), null, null, true) { Look = true },
            null,
            default,
            CardDoor.Usual with
            {
                FilesAtOnce = threads,
            }
        );
        (_, FieldCheckInput input) = FieldChecks.Gather(
            estate,
            added.Survey.Id,
            new SaidOfCaptures(),
            threads,
            null,
            default,
            added.Readings
        );
        FieldCheckResult check = FieldCheck.Run(input, new FieldCheckSettings { Threads = threads });
        return new TakenCard(added, input.Intake, check, input.Frame);
    }

    internal static void CopyTree(string from, string to)
    {
        Directory.CreateDirectory(to);
        foreach (string folder in Directory.GetDirectories(from))
        {
            CopyTree(folder, Path.Combine(to, Path.GetFileName(folder)));
        }

        foreach (string file in Directory.GetFiles(from))
        {
            File.Copy(file, Path.Combine(to, Path.GetFileName(file)));
        }
    }
}
