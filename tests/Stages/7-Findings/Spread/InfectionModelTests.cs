using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Findings.Tests;

public sealed class InfectionModelTests
{
    private const double Days = 100;

    /// <summary>A field of 60 × 60 plants whose infections are drawn from the model itself.</summary>
    private static SpreadPlant[] Field(double background, double contact, double reach, ulong seed)
    {
        SplittableRandom draw = new(seed);
        SpreadPlant[] plants =
        [
            .. Enumerable
                .Range(0, 3600)
                .Select(at => new SpreadPlant(at % 60 * 1.5, at / 60 * 2.5, draw.NextDouble() < 0.02, false)),
        ];
        SpreadPlant[] sick = [.. plants.Where(plant => plant.WasSick)];
        return
        [
            .. plants.Select(plant =>
                plant with
                {
                    IsSick =
                        draw.NextDouble()
                        < 1 - Math.Exp(-Days * (background + (contact * PlainPressure(plant, sick, reach)))),
                }
            ),
        ];
    }

    private static double PlainPressure(SpreadPlant plant, SpreadPlant[] sick, double reach) =>
        sick.Sum(other =>
            Math.Exp(
                -Math.Sqrt(
                    Math.Pow(plant.EastMetres - other.EastMetres, 2)
                        + Math.Pow(plant.NorthMetres - other.NorthMetres, 2)
                ) / reach
            )
        );

    [Theory]
    [InlineData(2e-5, 4e-3, 2.5, 11UL)]
    [InlineData(1e-4, 2e-3, 4, 12UL)]
    public void Fit_FieldDrawnFromTheModel_GivesItsNumbersBack(
        double background,
        double contact,
        double reach,
        ulong seed
    )
    {
        InfectionModel model = Assert.IsType<InfectionModel>(
            InfectionModel.Fit(Field(background, contact, reach, seed), Days, 0.6, 25)
        );
        Assert.InRange(reach, model.ReachInterval.Low, model.ReachInterval.High);
        Assert.InRange(model.ReachMetres / reach, 0.75, 1.33);
        Assert.InRange(model.ContactPerDay / contact, 0.6, 1.7);
        Assert.True(model.AkaikeGain > 50, $"gain {model.AkaikeGain}");
    }

    [Fact]
    public void Fit_InfectionsWithoutSpread_ExplainsNoMoreThanChance()
    {
        InfectionModel model = Assert.IsType<InfectionModel>(InfectionModel.Fit(Field(5e-4, 0, 3, 5), Days, 0.6, 25));
        Assert.True(model.AkaikeGain < 4, $"gain {model.AkaikeGain}");
    }

    [Fact]
    public void Fit_NobodySickOrNobodyFallen_IsNull()
    {
        SpreadPlant sound = new(0, 0, false, false);
        Assert.Null(InfectionModel.Fit([sound, sound with { IsSick = true }], Days, 0.6, 25));
        Assert.Null(InfectionModel.Fit([sound, sound with { WasSick = true }], Days, 0.6, 25));
    }

    [Fact]
    public void Pressure_AgainstTheSumOverAll_IsTheSame()
    {
        SpreadPlant[] plants = Field(1e-4, 2e-3, 3, 9);
        SpreadPlant[] sick = [.. plants.Where(plant => plant.WasSick)];
        double[] sums = InfectionModel.Pressure(plants, sick, 3);
        for (int at = 0; at < plants.Length; at += 37)
        {
            // What lies beyond seven reaches is left out: under e⁻⁷ a plant.
            Assert.InRange(PlainPressure(plants[at], sick, 3) - sums[at], -1e-12, sick.Length * Math.Exp(-7));
        }
    }

    [Fact]
    public void Risk_NearTheSickAndFar_FallsWithDistance()
    {
        SpreadPlant[] plants = Field(2e-5, 4e-3, 2.5, 11);
        InfectionModel model = Assert.IsType<InfectionModel>(InfectionModel.Fit(plants, Days, 0.6, 25));
        SpreadPlant[] line = [new(0, 0, true, true), new(1.5, 0, false, false), new(15, 0, false, false)];
        double[] risk = model.Risk(line, 90);
        Assert.True(double.IsNaN(risk[0]));
        Assert.True(risk[1] > 3 * risk[2], $"{risk[1]} against {risk[2]}");
        Assert.InRange(risk[1], 0, 1);
    }
}
