using System.Globalization;
using Hillrow.Checks;
using Hillrow.Numerics;
using Hillrow.Reconstruction;

namespace Hillrow.Validation.Reconstruction;

/// <summary>
/// Where simulated flights are put: with five control points, without any, and date against date. Judging seeds:
/// docs/decisions/0043; tests and tuning use others below 100.
/// </summary>
public sealed class SimulatedPlaceFigures : FigureSource
{
    public override string Area => "reconstruction";

    public override int Order => 10;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ulong[] seeds = run.Quick ? [run.DrawnSeed] : [4311, 4312, 4313, 4314, run.DrawnSeed];
        List<SimulatedPlaces> all = [];
        foreach (ulong seed in seeds)
        {
            all.Add(SimulatedPlaces.Of(seed, lines: 6, perLine: 14));
            run.Say(FormattableString.Invariant($"seed {seed}: {all[^1]}"));
        }

        string how =
            $"simulated sights of 84 captures, 25 % slope, worst of {seeds.Length} seeds, one drawn ({run.DrawnSeed})";
        yield return new Figure("simulated.checkpoints", all.Min(entry => entry.Checkpoints), how);
        yield return new Figure("simulated.withControl.horizontalRmsGsd", all.Max(entry => entry.HorizontalGsd), how);
        yield return new Figure("simulated.withControl.verticalRmsGsd", all.Max(entry => entry.VerticalGsd), how);
        yield return new Figure("simulated.withoutControl.domingGsd", all.Max(entry => entry.DomingGsd), how);
        yield return new Figure("simulated.twoDates.horizontalGsd", all.Max(entry => entry.DatesHorizontalGsd), how);
        yield return new Figure("simulated.twoDates.verticalGsd", all.Max(entry => entry.DatesVerticalGsd), how);
        double standardised = Rms(all, entry => entry.Standardised);
        string sigmas = string.Create(
            CultureInfo.InvariantCulture,
            $"{how.Replace("worst of", "rms over", StringComparison.Ordinal)}; errors of all poses' coordinates over their told sigma, with control; single flights {string.Join(", ", all.Select(entry => entry.Standardised.ToString("F2", CultureInfo.InvariantCulture)))} (decision 0043)"
        );
        yield return new Figure("simulated.sigma.leastRmsOfStandardised", standardised, sigmas);
        yield return new Figure("simulated.sigma.mostRmsOfStandardised", standardised, sigmas);

        // Told beside the worst: five points of 2/3 cm place a flight well or badly by chance.
        string over = how.Replace("worst of", "rms over", StringComparison.Ordinal);
        yield return new Figure(
            "simulated.withControl.horizontalRmsOverFlightsGsd",
            Rms(all, entry => entry.HorizontalGsd),
            over
        );
        yield return new Figure(
            "simulated.withControl.verticalRmsOverFlightsGsd",
            Rms(all, entry => entry.VerticalGsd),
            over
        );
    }

    private static double Rms(List<SimulatedPlaces> all, Func<SimulatedPlaces, double> of) =>
        Math.Sqrt(all.Average(entry => of(entry) * of(entry)));
}
