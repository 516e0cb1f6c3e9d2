using Hillrow.Mapping.Checks;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Mapping.Tests;

public sealed class IndexFormulaTests
{
    private static readonly double[] Bands = [0.03, 0.08, 0.04, 0.20, 0.45];

    private static IndexFormula Parse(string text) => IndexFormula.Parse(text, IndexChecks.FiveBands);

    [Theory]
    [InlineData("1 + 2 * 3", 7)]
    [InlineData("(1 + 2) * 3", 9)]
    [InlineData("8 - 4 - 2", 2)]
    [InlineData("8 / 4 / 2", 1)]
    [InlineData("-2^2", -4)]
    [InlineData("2^3^2", 512)]
    [InlineData("2^-1", 0.5)]
    [InlineData("2 * -3", -6)]
    [InlineData("1.5e2 + .5", 150.5)]
    [InlineData("842nm / 668nm", 11.25)]
    [InlineData("NIR / Red", 11.25)]
    [InlineData("min(red, nir) + max(red, nir)", 0.49)]
    [InlineData("sqrt(0.25) + abs(-1) + ln(exp(2)) + tanh(0)", 3.5)]
    public void Evaluate_OrdinaryArithmetic_HasTheUsualMeaning(string text, double expected) =>
        Assert.Equal(expected, Parse(text).Evaluate(Bands), 12);

    [Theory]
    [InlineData("", 1)]
    [InlineData("nir +", 6)]
    [InlineData("nir red", 5)]
    [InlineData("(nir - red", 11)]
    [InlineData("nir - red)", 10)]
    [InlineData("purple / red", 1)]
    [InlineData("nir / 999nm", 7)]
    [InlineData("floor(nir)", 1)]
    [InlineData("min(nir)", 8)]
    [InlineData("1.2.3", 1)]
    [InlineData("nir $ red", 5)]
    [InlineData("1e999", 1)]
    public void Parse_Fault_PointsAtThePlace(string text, int character)
    {
        InputProblemException fault = Assert.Throws<InputProblemException>(() => Parse(text));
        Assert.Contains($"at character {character}:", fault.Message, StringComparison.Ordinal);
        Assert.DoesNotContain('\n', fault.Message);
    }

    [Fact]
    public void Parse_EndlessText_IsRefusedQuickly()
    {
        Assert.Throws<InputProblemException>(() => Parse(new string('(', 100_000)));
        Assert.Throws<InputProblemException>(() => Parse(new string('(', 1900)));
        Assert.Throws<InputProblemException>(() => Parse(new string('-', 1900) + "1"));
        Assert.Throws<InputProblemException>(() => Parse("2" + string.Concat(Enumerable.Repeat("^2.5", 400))));
    }

    [Theory]
    [InlineData("nir / (red - red)")]
    [InlineData("1 / (nir / (red - red))")]
    [InlineData("sqrt(-nir)")]
    [InlineData("ln(0 * nir)")]
    [InlineData("(0 * nir)^-1")]
    [InlineData("(-nir)^0.5")]
    public void Evaluate_Undefined_IsNoData(string text)
    {
        Assert.Equal(double.NaN, Parse(text).Evaluate(Bands));
        Assert.Equal(double.NaN, Parse(text).Evaluate(Bands, [0.1, 0.1, 0.1, 0.1, 0.1], out double sigma));
        Assert.Equal(double.NaN, sigma);
    }

    [Fact]
    public void Evaluate_EveryIndex_CarriesSigmaAsNumericalDerivativesDo()
    {
        double[] sigmas = [0.002, 0.004, 0.003, 0.005, 0.01];
        Dictionary<string, double> parameters = new() { ["lowest"] = 0.1, ["highest"] = 0.6 };
        IEnumerable<(string, IndexFormula)> formulas = IndexCatalogue
            .All.Select(index => (index.Name, index.Over(IndexChecks.FiveBands, parameters)))
            .Append(
                (
                    "functions",
                    Parse("exp(nir) * ln(red + 1) + abs(red - nir)^1.5 + nir^red + min(red, nir) * max(blue, green)")
                )
            );
        foreach ((string name, IndexFormula formula) in formulas)
        {
            double sum = 0;
            for (int band = 0; band < 5; band++)
            {
                const double step = 1e-6;
                double[] more = [.. Bands];
                double[] less = [.. Bands];
                more[band] += step;
                less[band] -= step;
                double slope = (formula.Evaluate(more) - formula.Evaluate(less)) / (2 * step);
                sum += slope * slope * sigmas[band] * sigmas[band];
            }

            formula.Evaluate(Bands, sigmas, out double sigma);
            Assert.True(
                Math.Abs(sigma - Math.Sqrt(sum)) <= 1e-6 * Math.Sqrt(sum),
                $"{name}: {sigma} for {Math.Sqrt(sum)}"
            );
        }
    }

    [Theory]
    [InlineData(1)]
    [InlineData(511)]
    [InlineData(1300)]
    public void Evaluate_ManyValues_AgreesWithOneByOne(int count)
    {
        IndexFormula formula = IndexCatalogue.Find("MCARI2").Over(IndexChecks.FiveBands);
        SplittableRandom random = new(3);
        float[][] values =
        [
            .. formula.BandsUsed.Select(_ =>
                Enumerable.Range(0, count).Select(_ => (float)random.NextDouble(0, 0.6)).ToArray()
            ),
        ];
        values[0][count / 2] = float.NaN;
        float[] found = new float[count];
        formula.Evaluate(values, found);
        for (int at = 0; at < count; at++)
        {
            double[] one = new double[5];
            for (int band = 0; band < values.Length; band++)
            {
                one[formula.BandsUsed[band]] = values[band][at];
            }

            double expected = formula.Evaluate(one);
            Assert.True(
                double.IsNaN(expected)
                    ? float.IsNaN(found[at])
                    : Math.Abs(found[at] - expected) <= 1e-4 * (1 + Math.Abs(expected)),
                $"{at}: {found[at]} for {expected}"
            );
        }
    }
}
