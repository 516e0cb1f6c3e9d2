using Hillrow.Numerics;
using Hillrow.Reconstruction;
using Hillrow.Sight;

namespace Hillrow.Checks;

/// <summary>How well a simulated flight is placed, in ground samples.</summary>
/// <param name="Checkpoints">Judged at.</param>
/// <param name="HorizontalGsd">With five control points, rms in plan at the checkpoints; nothing taken off.</param>
/// <param name="VerticalGsd">The same in height.</param>
/// <param name="DomingGsd">Without control: 98th percentile of the checkpoints' heights about a tilted plane.</param>
/// <param name="DatesHorizontalGsd">Two dates without control, the second tied to the first: rms in plan between them.</param>
/// <param name="DatesVerticalGsd">The same in height.</param>
/// <param name="Standardised">With control: rms of the errors of pose coordinates over their told sigma.</param>
public sealed record SimulatedPlaces(
    int Checkpoints,
    double HorizontalGsd,
    double VerticalGsd,
    double DomingGsd,
    double DatesHorizontalGsd,
    double DatesVerticalGsd,
    double Standardised
)
{
    public static SimulatedPlaces Of(ulong seed, int lines, int perLine)
    {
        SimulatedFlightSettings asked = new()
        {
            Seed = seed,
            Lines = lines,
            PerLine = perLine,
            ControlPoints = 5,
            Checkpoints = 40,
        };
        ReconstructionSettings settings = new() { MeasureSurface = false };
        SimulatedFlight flight = new(asked);
        SimulatedFlight other = new(asked with { Date = 1 });
        ReconstructionResult held = ReconstructionStage.Run(flight.Input, settings);
        IReadOnlyList<Vector3D> off = flight.CheckErrors(held.Geometry!);
        ReconstructionResult first = ReconstructionStage.Run(flight.Input with { Control = null }, settings);
        ReconstructionResult second = ReconstructionStage.Run(
            other.Input with
            {
                Control = null,
                Earlier = [first.Landmarks!],
            },
            settings
        );
        IReadOnlyList<Vector3D> before = flight.CheckErrors(first.Geometry!);
        Vector3D[] between = [.. other.CheckErrors(second.Geometry!).Zip(before, (late, early) => late - early)];
        double sample = flight.GroundSampleMetres;
        return new SimulatedPlaces(
            off.Count,
            Plan(off) / sample,
            Up(off) / sample,
            PlaneMiss.Percentile98([.. flight.CheckPlaces.Select(check => check.Place).Zip(before)]) / sample,
            Plan(between) / sample,
            Up(between) / sample,
            StandardisedErrors(flight, held.Geometry!)
        );
    }

    private static double StandardisedErrors(SimulatedFlight flight, SurveyGeometry geometry)
    {
        double sum = 0;
        for (int index = 0; index < geometry.Captures.Count; index++)
        {
            PlacedCapture placed = geometry.Captures[index];
            Vector3D off =
                flight.Frame.ToLocal(geometry.Frame.ToGeodetic(placed.Pose.CentreLocalMetres))
                - flight.TruePoses[index].CentreLocalMetres;
            sum += off.LengthSquared / (placed.PositionSigmaMetres * placed.PositionSigmaMetres);
        }

        return Math.Sqrt(sum / (3 * geometry.Captures.Count));
    }

    private static double Plan(IReadOnlyList<Vector3D> off) =>
        Math.Sqrt(off.Average(entry => (entry.X * entry.X) + (entry.Y * entry.Y)));

    private static double Up(IReadOnlyList<Vector3D> off) => Math.Sqrt(off.Average(entry => entry.Z * entry.Z));
}
