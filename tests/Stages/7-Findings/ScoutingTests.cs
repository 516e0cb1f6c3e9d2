using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Findings.Tests;

public sealed class ScoutingTests
{
    private static readonly FindingsSettings Defaults = new();

    [Fact]
    public void From_NoAnswers_KeepsTheDefaults() => Assert.Equal(Defaults, LearntThresholds.From([], Defaults));

    [Fact]
    public void From_AnswersOfOneKind_KeepsTheThreshold()
    {
        ScoutedPlant[] all = [.. Enumerable.Range(0, 20).Select(_ => Answer(-6, SeenState.Light))];
        Assert.Equal(Defaults.LeastDeparture, LearntThresholds.From(all, Defaults).LeastDeparture);
    }

    /// <summary>Truth by construction: scouts whose eye turns at a departure other than the default teach it.</summary>
    [Theory]
    [InlineData(2.5)]
    [InlineData(4.5)]
    public void From_ManyAnswers_FindsWhereScoutsTurn(double turn)
    {
        SplittableRandom draw = new(5);
        ScoutedPlant[] answers =
        [
            .. Enumerable
                .Range(0, 300)
                .Select(_ => -draw.NextDouble(0, 9))
                .Select(departure =>
                    Answer(
                        departure,
                        draw.NextDouble() < 1 / (1 + Math.Exp((departure + turn) / 0.8))
                            ? SeenState.Light
                            : SeenState.Healthy
                    )
                ),
        ];
        Assert.Equal(turn, LearntThresholds.From(answers, Defaults).LeastDeparture, 0.35);
    }

    [Fact]
    public void From_FewAnswers_MovesLess()
    {
        ScoutedPlant[] few =
        [
            .. Enumerable.Range(0, 4).Select(_ => Answer(-4.2, SeenState.Healthy)),
            .. Enumerable.Range(0, 4).Select(_ => Answer(-6, SeenState.Light)),
        ];
        ScoutedPlant[] many = [.. Enumerable.Repeat(few, 12).SelectMany(answers => answers)];
        double little = LearntThresholds.From(few, Defaults).LeastDeparture;
        double much = LearntThresholds.From(many, Defaults).LeastDeparture;
        Assert.True(Defaults.LeastDeparture < little && little < much, $"{little}, {much}");
    }

    [Fact]
    public void From_AnyAnswers_ThresholdsRise()
    {
        ScoutedPlant[] odd =
        [
            .. Enumerable
                .Range(0, 30)
                .Select(at => Answer(-0.5 * at, at % 2 == 0 ? SeenState.Severe : SeenState.Healthy)),
        ];
        FindingsSettings learnt = LearntThresholds.From(odd, Defaults).Checked();
        Assert.True(
            learnt.LeastDeparture < learnt.ModerateDeparture && learnt.ModerateDeparture < learnt.SevereDeparture
        );
    }

    [Fact]
    public void Of_Answers_CountsTheFourCells()
    {
        ScoutAgreement table = ScoutAgreement.Of([
            Answer(-5, SeenState.Severe, Severity.Moderate),
            Answer(-5, SeenState.Healthy, Severity.Moderate),
            Answer(-5, SeenState.Light, Severity.Light),
            Answer(0, SeenState.Light, Severity.Healthy),
            Answer(0, SeenState.Healthy, Severity.Healthy),
            Answer(double.NaN, SeenState.Healthy, Severity.NotJudged),
        ]);
        Assert.Equal((2, 1, 1, 1), (table.ToldAndSeen, table.ToldNotSeen, table.SeenNotTold, table.Neither));
        Assert.Equal(2 / 3.0, table.RightShare, 12);
        Assert.InRange(2 / 3.0, table.RightInterval.Low, table.RightInterval.High);
    }

    private static ScoutedPlant Answer(double departure, SeenState seen, Severity told = Severity.Healthy) =>
        new(departure, told, seen);
}
