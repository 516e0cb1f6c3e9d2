using Hillrow.Numerics;

namespace Hillrow.Planning;

/// <summary>
/// Shares lines out to batteries: each sortie takes as many lines, in flying order, as its energy carries there and
/// home with the reserve kept. A line is cut only when a large part of the battery would be left; the capture at the
/// cut is taken by both sorties, so the cut leaves no gap.
/// </summary>
internal sealed class SortieSplit(SortieRoute route, PlanningInput input)
{
    /// <summary>Below this share of the budget a sortie is filled up with a part of a line.</summary>
    private const double FullEnough = 0.8;

    /// <summary>Shorter parts of lines are not worth a turn.</summary>
    private const int FewestCaptures = 6;

    /// <exception cref="InputProblemException">A battery does not carry the aircraft to a line and back.</exception>
    public List<(SortieRoute.Flown Flown, IReadOnlyList<FlownLine> Lines)> Split(
        HomePoint home,
        IReadOnlyList<FlownLine> lines
    )
    {
        List<(SortieRoute.Flown, IReadOnlyList<FlownLine>)> sorties = [];
        List<FlownLine> left = [.. lines];
        int guess = left.Count;
        double budget = input.Aircraft.BudgetWattHours;
        while (left.Count > 0)
        {
            int most = MostLines(home, left, guess, budget, out SortieRoute.Flown? flown);
            List<FlownLine> taken = left[..most];
            left.RemoveRange(0, most);
            if (left.Count > 0 && (flown is null || flown.EnergyWattHours < FullEnough * budget))
            {
                int part = MostCaptures(home, taken, left[0], budget, ref flown);
                if (part >= FewestCaptures || (most == 0 && part >= 2))
                {
                    (FlownLine head, FlownLine tail) = CutAfter(left[0], part);
                    taken.Add(head);
                    left[0] = tail;
                }
                else if (most == 0)
                {
                    throw PlanRefusals.Battery(
                        input.Aircraft,
                        $"the line near {PlanRefusals.Where(input, left[0].Begin.Place)}"
                    );
                }
            }

            flown = route.Fly(home, taken);
            sorties.Add((flown, taken));
            guess = taken.Count;
        }

        return sorties;
    }

    /// <summary>Greatest number of whole lines from the front that one battery carries.</summary>
    private int MostLines(HomePoint home, List<FlownLine> lines, int guess, double budget, out SortieRoute.Flown? flown)
    {
        flown = null;
        int fits = 0;
        int tooMany = lines.Count + 1;
        int next = Math.Clamp(guess, 1, lines.Count);
        int stride = 1;
        while (fits + 1 < tooMany)
        {
            SortieRoute.Flown tried = route.Fly(home, lines[..next]);
            if (tried.EnergyWattHours <= budget)
            {
                (fits, flown) = (next, tried);
                next = Math.Min(fits + stride, (fits + tooMany + 1) / 2);
            }
            else
            {
                tooMany = next;
                // The first guess is the last sortie's count, so the answer is near: look around it first.
                next = fits > 0 ? (fits + tooMany) / 2 : Math.Max(1, Math.Min(tooMany - stride, tooMany - 1));
            }

            stride *= 2;
            next = Math.Clamp(next, fits + 1, Math.Max(fits + 1, tooMany - 1));
        }

        return fits;
    }

    private int MostCaptures(
        HomePoint home,
        List<FlownLine> taken,
        FlownLine line,
        double budget,
        ref SortieRoute.Flown? flown
    )
    {
        int fits = 0;
        int tooMany = line.Captures;
        while (tooMany - fits > 1)
        {
            int next = (fits + tooMany) / 2;
            SortieRoute.Flown tried = route.Fly(home, [.. taken, CutAfter(line, next).Head]);
            if (tried.EnergyWattHours <= budget)
            {
                (fits, flown) = (next, tried);
            }
            else
            {
                tooMany = next;
            }
        }

        return fits;
    }

    /// <summary>The first captures of a line in flying order, and the rest beginning with the last of them.</summary>
    private static (FlownLine Head, FlownLine Tail) CutAfter(FlownLine line, int captures) =>
        line.Back
            ? (line with { First = line.Last - captures + 1 }, line with { Last = line.Last - captures + 1 })
            : (line with { Last = line.First + captures - 1 }, line with { First = line.First + captures - 1 });
}
