using Hillrow.Earth;
using Hillrow.Numerics;

namespace Hillrow.Findings.Tests;

/// <summary>A block of plants made for tests: slow soil gradient, plant-to-plant spread, patches of sick plants.</summary>
internal static class ModelBlock
{
    public const double PlantSpacing = 1.5;
    public const double RowSpacing = 2.5;

    /// <param name="patch">Whether a plant (row, place) is sick.</param>
    /// <param name="loss">How many standard deviations a sick plant loses in every measure.</param>
    public static IReadOnlyList<ObservedPlant> Make(
        SplittableRandom random,
        int rows,
        int perRow,
        Func<int, int, bool> patch,
        double loss,
        double gradient = 0.06,
        string block = "Ridge",
        long firstNumber = 1
    )
    {
        List<ObservedPlant> plants = [];
        for (int row = 0; row < rows; row++)
        {
            for (int place = 0; place < perRow; place++)
            {
                bool sick = patch(row, place);
                double lack = sick ? loss : 0;
                double along = (double)row / rows;
                plants.Add(
                    new ObservedPlant(
                        firstNumber + plants.Count,
                        block,
                        new GridPoint(
                            500_000 + (place * PlantSpacing) + random.NextDouble(-0.2, 0.2),
                            9_200_000 + (row * RowSpacing) + random.NextDouble(-0.2, 0.2)
                        ),
                        1400 + (row * 0.6),
                        [
                            new Measured(0.32 - (gradient * along) + (0.015 * (random.NextGaussian() - lack)), 0.004),
                            new Measured(0.83 - (gradient * along) + (0.02 * (random.NextGaussian() - lack)), 0.005),
                            new Measured(Math.Log(1.1) + (0.18 * (random.NextGaussian() - lack)), 0.05),
                            new Measured(0.75 + (0.06 * (random.NextGaussian() - lack)), 0.02),
                        ]
                    )
                );
            }
        }

        return plants;
    }
}
