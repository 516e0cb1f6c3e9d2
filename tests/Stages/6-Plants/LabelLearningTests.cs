using Hillrow.Checks;
using Hillrow.Earth;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Plants.Tests;

/// <summary>Learning from a person's labels: used where it helps, told and left alone where it does not.</summary>
public sealed class LabelLearningTests
{
    [Fact]
    public void Apply_WeedsThatLookDifferent_ArePutRightWhereNobodyLabelled()
    {
        (JudgedPosition[] positions, bool[] truth) = Field(3, difference: 6);
        bool?[] labels = Labels(truth, positions, 7);
        (bool[] verdicts, LabelTrial trial) = LabelLearning.Apply(positions, labels, 1.5);
        Assert.True(trial.Kept, trial.Told);
        Assert.True(trial.WrongWith <= 0.6 * trial.WrongWithout, trial.Told);
        int before = Wrong([.. positions.Select(position => position.IsPlant)], truth, labels);
        int after = Wrong(verdicts, truth, labels);
        Assert.True(after <= 0.6 * before, $"{after} of {before}");
        Assert.Contains("used", trial.Told, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    [InlineData(4)]
    [InlineData(5)]
    public void Apply_LooksThatTellNothing_ChangeNothing(int seed)
    {
        (JudgedPosition[] positions, bool[] truth) = Field((ulong)seed, difference: 0);
        (bool[] verdicts, LabelTrial trial) = LabelLearning.Apply(positions, Labels(truth, positions, 5), 1.5);
        Assert.False(trial.Kept, trial.Told);
        Assert.Equal(positions.Select(position => position.IsPlant), verdicts);
        Assert.Contains("not used", trial.Told, StringComparison.Ordinal);
    }

    [Fact]
    public void Apply_OnlyWrongOnesLabelled_ChangesNothing()
    {
        // Whoever clicks on weeds alone has not said what a plant looks like.
        (JudgedPosition[] positions, bool[] truth) = Field(3, difference: 4);
        bool?[] labels = [.. truth.Select((real, at) => positions[at].IsPlant && !real ? false : (bool?)null)];
        (bool[] verdicts, LabelTrial trial) = LabelLearning.Apply(positions, labels, 1.5);
        Assert.False(trial.Kept);
        Assert.Equal(0, trial.Squares);
        Assert.Equal(positions.Select(position => position.IsPlant), verdicts);
    }

    [Fact]
    public void ChanceOf_WorkedCases_AreThoseOfTheBinomial()
    {
        Assert.Equal(1 / 32.0, LabelLearning.ChanceOf(5, 0), 12);
        Assert.Equal(7 / 64.0, LabelLearning.ChanceOf(5, 1), 12);
        Assert.Equal(1, LabelLearning.ChanceOf(0, 0), 12);
    }

    [Fact]
    public void Stage_LabelledPositions_AreAsThePersonSaysAndTheBlockIsNoWorse()
    {
        ModelledBlock block = ModelledBlock.Make(
            new ModelledPlanting { SideMetres = 30, WeedsPerSquareMetre = 0.5 },
            9
        );
        BlockPlants before = PlantsStage.Run(block.Input(false), new PlantsSettings(), null, default).Blocks[0];
        Assert.Null(before.Learning);
        PlantRecord denied = before.Plants[before.Plants.Count / 2];
        BlockPlants after = PlantsStage
            .Run(
                block.Input(false) with
                {
                    Labels = [new PlantLabel(denied.Place, IsPlant: false, Binding: true)],
                },
                new PlantsSettings(),
                null,
                default
            )
            .Blocks[0];
        Assert.DoesNotContain(after.Plants, plant => Away(plant.Place, denied.Place) < 0.4);
        Assert.Equal(before.Plants.Count - 1, after.Plants.Count);
        Assert.False(after.Learning!.Kept);
        Assert.Contains("too few", after.Learning.Told, StringComparison.Ordinal);
    }

    private static double Away(GridPoint a, GridPoint b) =>
        Math.Sqrt(
            ((a.EastingMetres - b.EastingMetres) * (a.EastingMetres - b.EastingMetres))
                + ((a.NorthingMetres - b.NorthingMetres) * (a.NorthingMetres - b.NorthingMetres))
        );

    // Where nobody labelled.
    private static int Wrong(bool[] verdicts, bool[] truth, bool?[] labels) =>
        Enumerable.Range(0, truth.Length).Count(at => labels[at] is null && verdicts[at] != truth[at]);

    // 20 × 20 positions, all found as plants but one in ten; of those found one in seven is a weed.
    private static (JudgedPosition[] Positions, bool[] Truth) Field(ulong seed, double difference)
    {
        SplittableRandom random = new(seed);
        JudgedPosition[] positions = new JudgedPosition[400];
        bool[] truth = new bool[400];
        for (int at = 0; at < 400; at++)
        {
            bool found = random.NextInt32(10) > 0;
            truth[at] = found && random.NextInt32(7) > 0;
            double weed = found && !truth[at] ? difference : 0;
            positions[at] = new JudgedPosition(
                at % 20 * 1.5,
                at / 20 * 2.5,
                found,
                [random.NextGaussian() + weed, random.NextGaussian(), random.NextGaussian() - (found ? 0 : 3)]
            );
        }

        return (positions, truth);
    }

    // Every so many positions, and every second weed: people click on what is wrong.
    private static bool?[] Labels(bool[] truth, JudgedPosition[] positions, int stride) =>
        [
            .. truth.Select(
                (real, at) => at % stride == 0 || (at % 2 == 0 && positions[at].IsPlant && !real) ? real : (bool?)null
            ),
        ];
}
