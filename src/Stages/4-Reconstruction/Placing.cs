using System.Globalization;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Reconstruction;

/// <summary>Decides which captures are placed, and tells of the others what is wrong and how to mend it.</summary>
internal static class Placing
{
    /// <summary>Fewer captures that only have each other are not held against tilting.</summary>
    private const int LeastInPart = 3;

    /// <summary>A frame of leaves has thousands; with so few it shows water, blur or darkness.</summary>
    private const int FewFeatures = 150;

    private const int Told = 10;

    /// <summary>
    /// Standard error, beside what all captures share, of the ground in the middle of a frame, pixels. A capture held more
    /// loosely would lay its pictures visibly beside the others'.
    /// </summary>
    private const double LoosePixels = 1;

    public static bool[] Decide(
        SurveyAdjustment adjustment,
        double[] holdPixels,
        int[] ties,
        int[] part,
        ReconstructionSettings settings
    ) =>
        [
            .. ties.Select(
                (count, index) =>
                    count >= settings.LeastTiesPerCapture
                    && adjustment.Placed[index]
                    && !(part[index] == 0 && holdPixels[index] > LoosePixels)
                    && part[index] >= 0
                    && (part[index] == 0 || part.Count(other => other == part[index]) >= LeastInPart)
            ),
        ];

    /// <summary>The parts that share no ties, captures placed only.</summary>
    public static IReadOnlyList<SurveyPart> Parts(IReadOnlyList<Capture> captures, bool[] placed, int[] part) =>
        [
            .. Enumerable
                .Range(0, part.Length)
                .Where(index => placed[index])
                .GroupBy(index => part[index])
                .OrderBy(group => group.Key)
                .Select(group => new SurveyPart([.. group.Select(index => captures[index].Id)])),
        ];

    public static string WhyNot(
        Capture capture,
        int index,
        SurveyPriors priors,
        SurveyPlacement placement,
        int features,
        int ties,
        int part
    )
    {
        string why;
        if (capture.Frames.Count > 0 && features == 0)
        {
            why = "its frame of the reference band is missing or shows nothing distinct; check the file";
        }
        else if (features < FewFeatures)
        {
            why =
                $"its frame shows only {features} distinct spots (water, blur or darkness); if it is blurred, fly slower or in more light";
        }
        else if (!placement.Adjustment.Placed[index] && placement.VerifiedTies.ElementAtOrDefault(index) > 0)
        {
            why = "most of its ties with other captures contradict each other (water, or all that it shows moves)";
        }
        else if (part > 0)
        {
            why = $"it hangs with only one other capture, too few to hold it; fly with more overlap there";
        }
        else
        {
            why =
                $"its {ties} ties with other captures do not hold it (water, moving leaves, or too little overlap); fly with more overlap there";
        }

        if (priors.Astray.Contains(index))
        {
            why +=
                "; its recorded position is far from all others and was not used: correct it, or fly on until the receiver has a fix";
        }
        else if (placement.Trust.Wrong.TryGetValue(index, out double off))
        {
            why += string.Create(CultureInfo.InvariantCulture, $"; its recorded position is about {off:0} m wrong");
        }

        return why;
    }

    /// <summary>What went wrong with placing, and what to do about it.</summary>
    public static StageOutcome Tell(
        StageOutcome outcome,
        IReadOnlyList<Capture> captures,
        SurveyPriors priors,
        SurveyPlacement placement,
        bool[] placed
    )
    {
        int missing = placed.Count(entry => !entry);
        if (missing > 0)
        {
            outcome = outcome.With(
                StageOutcome.Degraded(
                    $"{missing} of {placed.Length} captures could not be placed and are left out: {Names(captures, Enumerable.Range(0, placed.Length).Where(index => !placed[index]))}."
                )
            );
        }

        if (priors.Astray.Count > 0)
        {
            outcome = outcome.With(
                new StageOutcome(
                    StageVerdict.Done,
                    [
                        $"the recorded positions of {Names(captures, priors.Astray)} are far from all others and were not used; check the receiver.",
                    ]
                )
            );
        }

        if (placement.Trust.Wrong.Count > 0)
        {
            outcome = outcome.With(
                new StageOutcome(
                    StageVerdict.Done,
                    [
                        string.Create(
                            CultureInfo.InvariantCulture,
                            $"the recorded positions of {Names(captures, placement.Trust.Wrong.Keys)} are up to {placement.Trust.Wrong.Values.Max():0} m from where the pictures place them and were not used; check the receiver and the position file."
                        ),
                    ]
                )
            );
        }

        IReadOnlyList<SurveyPart> parts = Parts(
            captures,
            placed,
            SurveyParts.Of(placement.Adjustment.Points, placed.Length)
        );
        return parts.Count <= 1
            ? outcome
            : outcome.With(
                StageOutcome.Degraded(
                    $"the survey falls into {parts.Count} parts that share no ties ({string.Join("; ", parts.Select(part => $"{part.CaptureIds.Count} captures from {part.CaptureIds[0]}"))}); each lies where its own positions put it, so they may lie metres apart: fly what lies between, or put ground control into each."
                )
            );
    }

    private static string Names(IReadOnlyList<Capture> captures, IEnumerable<int> which)
    {
        int[] all = [.. which];
        return string.Join(", ", all.Take(Told).Select(index => captures[index].Id)) + (all.Length > Told ? ", …" : "");
    }
}
