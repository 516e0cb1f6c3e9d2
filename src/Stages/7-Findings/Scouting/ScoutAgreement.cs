using Hillrow.Numerics.Statistics;

namespace Hillrow.Findings;

/// <summary>Map against scouts, plant by plant: the confusion table.</summary>
/// <param name="ToldAndSeen">Told declining, seen declining.</param>
/// <param name="ToldNotSeen">Told declining, seen healthy: false alarms.</param>
/// <param name="SeenNotTold">Told sound, seen declining: overlooked.</param>
/// <param name="Neither">Sound for both.</param>
public sealed record ScoutAgreement(int ToldAndSeen, int ToldNotSeen, int SeenNotTold, int Neither)
{
    private const double Normal95 = 1.959963984540054;

    public int Answers => ToldAndSeen + ToldNotSeen + SeenNotTold + Neither;

    /// <summary>Of the plants told declining, the share that scouts saw so; NaN without any.</summary>
    public double RightShare => Share(ToldAndSeen, ToldAndSeen + ToldNotSeen);

    public Interval RightInterval => Wilson(ToldAndSeen, ToldAndSeen + ToldNotSeen);

    /// <summary>Of the plants told sound, the share that scouts saw declining; NaN without any.</summary>
    public double OverlookedShare => Share(SeenNotTold, SeenNotTold + Neither);

    public Interval OverlookedInterval => Wilson(SeenNotTold, SeenNotTold + Neither);

    /// <summary>Plants that the map did not judge are left out.</summary>
    public static ScoutAgreement Of(IReadOnlyList<ScoutedPlant> answers)
    {
        ArgumentNullException.ThrowIfNull(answers);
        ScoutedPlant[] judged = [.. answers.Where(answer => answer.Told != Severity.NotJudged)];
        int Count(bool told, bool seen) =>
            judged.Count(answer => answer.ToldDeclining == told && answer.SeenDeclining == seen);
        return new ScoutAgreement(Count(true, true), Count(true, false), Count(false, true), Count(false, false));
    }

    private static double Share(int part, int all) => all == 0 ? double.NaN : (double)part / all;

    /// <summary>Wilson 1927, 95 %.</summary>
    private static Interval Wilson(int part, int all)
    {
        if (all == 0)
        {
            return new Interval(double.NaN, double.NaN);
        }

        double share = (double)part / all;
        double square = Normal95 * Normal95;
        double middle = (share + (square / (2 * all))) / (1 + (square / all));
        double half =
            Normal95 / (1 + (square / all)) * Math.Sqrt((share * (1 - share) / all) + (square / (4.0 * all * all)));
        return new Interval(Math.Max(0, middle - half), Math.Min(1, middle + half));
    }
}
