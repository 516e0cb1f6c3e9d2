namespace Hillrow.Rehearsal;

/// <summary>Judges a job's public products by the truth.</summary>
public static class RehearsalScorer
{
    private sealed record Judged(
        SurveyProducts Found,
        SurveyTruth Truth,
        ShiftField? Shift,
        IReadOnlyList<PlantTruth?>? Plants
    );

    /// <summary>Scores every survey that truth is known of.</summary>
    /// <param name="surveys">In order of date; products of a survey that was not made are all null.</param>
    /// <param name="truthOf">Truth by the survey's id.</param>
    /// <param name="threads">The scores do not depend on it.</param>
    public static RehearsalScore Score(
        IReadOnlyList<SurveyProducts> surveys,
        Func<string, SurveyTruth> truthOf,
        int threads
    )
    {
        ArgumentNullException.ThrowIfNull(surveys);
        ArgumentNullException.ThrowIfNull(truthOf);
        SortedDictionary<string, ScoreSheet> sheets = new(StringComparer.Ordinal);
        ScoreSheet estate = new();
        List<double> registration = [];
        int same = 0;
        int asked = 0;
        string reason = "there are not two surveys with plants";
        Judged? before = null;
        foreach (SurveyProducts laid in surveys)
        {
            ScoreSheet sheet = new();
            SurveyTruth truth = truthOf(laid.Id);
            MapOffset offset = MapOffset.Of(laid, truth, threads);
            offset.Add(sheet, laid);
            SurveyProducts found = offset.TakenOff(laid);
            ReflectanceScore.Add(sheet, found, truth);
            ShiftField? shift = GeometryScore.Add(sheet, found, truth, threads);
            IReadOnlyList<PlantTruth?>? plants = PlantScore.Add(sheet, found, truth);
            sheets[found.Id] = sheet;
            Judged now = new(found, truth, shift?.With(offset.EastMetres, offset.NorthMetres), plants);
            if (before is not null)
            {
                registration.AddRange(Registration(before, now));
                (int right, int all) = Identities(before, now);
                same += right;
                asked += all;
            }

            before = now;
        }

        estate.Add("identityAccuracy", asked > 0 ? (double)same / asked : double.NaN, reason);
        estate.Add(
            "registrationPx",
            registration.Count > 0
                ? Math.Sqrt(registration.Sum(length => length * length) / registration.Count)
                : double.NaN,
            "there are not two surveys with maps on one grid"
        );
        return new RehearsalScore(sheets, estate);
    }

    /// <summary>Shift between two surveys' maps, window by window where both show the same ground.</summary>
    private static IEnumerable<double> Registration(Judged before, Judged now) =>
        before.Shift is { } first && now.Shift is { } second ? first.Against(second) : [];

    /// <summary>
    /// Of the plants found in the later survey: those whose number says rightly whether, and as whom, they were seen
    /// before.
    /// </summary>
    private static (int Right, int All) Identities(Judged before, Judged now)
    {
        if (before.Plants is not { } earlier || now.Plants is not { } later)
        {
            return (0, 0);
        }

        Dictionary<int, long> numberOf = [];
        HashSet<long> used = [];
        for (int index = 0; index < earlier.Count; index++)
        {
            long number = before.Found.Plants![index].Number;
            used.Add(number);
            if (earlier[index] is { } plant)
            {
                numberOf[plant.Number] = number;
            }
        }

        HashSet<int> alive = [.. before.Truth.Plants.Select(plant => plant.Number)];
        int right = 0;
        int all = 0;
        for (int index = 0; index < later.Count; index++)
        {
            if (later[index] is not { BlockKind: not BlockKind.Hedgerow } plant)
            {
                continue;
            }

            long number = now.Found.Plants![index].Number;
            if (numberOf.TryGetValue(plant.Number, out long expected))
            {
                all++;
                right += number == expected ? 1 : 0;
            }
            else if (!alive.Contains(plant.Number))
            {
                // Replanted since: it must not carry the number of the one before.
                all++;
                right += used.Contains(number) ? 0 : 1;
            }
        }

        return (right, all);
    }
}
