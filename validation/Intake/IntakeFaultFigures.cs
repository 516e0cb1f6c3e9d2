namespace Hillrow.Validation.Intake;

/// <summary>Faults planted on rehearsed flights: all found, none invented on the clean flight.</summary>
public sealed class IntakeFaultFigures : FigureSource
{
    public override string Area => "intake";

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        foreach (ulong seed in IntakeFlights.Seeds(run))
        {
            FlownCard card = IntakeFlights.Of(seed, run);
            run.Say($"  {card.Captures}");
        }

        yield break;
    }
}
