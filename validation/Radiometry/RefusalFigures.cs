using Hillrow.Checks;

namespace Hillrow.Validation.Radiometry;

/// <summary>Planted faults of panel, certificate and irradiance sensor that were used without a word.</summary>
public sealed class RefusalFigures : FigureSource
{
    public override string Area => "radiometry";

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        foreach (IGrouping<string, PlantedFault> kind in PlantedFaults.All().GroupBy(fault => fault.Kind))
        {
            yield return new Figure(
                $"refusals.{kind.Key}.silentlyUsed",
                kind.Count(fault => fault.SilentlyUsed),
                $"of {kind.Count()}: {string.Join(", ", kind.Select(fault => fault.What))}"
            );
        }
    }
}
