using System.Diagnostics;
using Hillrow.Checks;
using Hillrow.Imaging;
using Hillrow.Reconstruction;

namespace Hillrow.Validation.Reconstruction;

/// <summary>Time of matching and adjusting at 200 and 800 captures, and whether threads change the result.</summary>
public sealed class PlacingSpeed : FigureSource
{
    private const int Few = 200;
    private const int Many = 800;

    public override string Area => "reconstruction";

    public override int Order => 40;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        // By turns, so that a busy machine hits both alike; processor time, which waiting does not count in.
        double few = double.PositiveInfinity;
        double many = double.PositiveInfinity;
        for (int round = 0; round < (run.Quick ? 1 : 2); round++)
        {
            few = Math.Min(few, PerCapture(run, 10, Few / 10));
            many = Math.Min(many, PerCapture(run, 20, Many / 20));
        }

        yield return new Figure(
            "placing.perCapture800To200",
            many / few,
            FormattableString.Invariant(
                $"processor seconds of matching and adjusting for a capture: {few:F3} at {Few}, {many:F3} at {Many}; simulated sights"
            )
        );
        using (Process self = Process.GetCurrentProcess())
        {
            yield return new Figure(
                "placing.peakGigabytes",
                self.PeakWorkingSet64 / (double)(1L << 30),
                $"of the whole process, the simulation of {Many} captures and their looks included; GiB"
            );
        }

        SimulatedFlight flight = new(
            new SimulatedFlightSettings
            {
                Seed = run.DrawnSeed,
                Lines = 4,
                PerLine = 10,
                LensResiduePixels = 0.2,
            }
        );
        ReconstructionResult one = Place(flight, 1);
        ReconstructionResult two = Place(flight, 2);
        int unlike = one.Geometry!.Captures.Zip(two.Geometry!.Captures, (first, second) => first == second ? 0 : 1)
            .Sum();
        unlike += IsSame(one.Geometry.Bands[0].Lens, two.Geometry!.Bands[0].Lens) ? 0 : 1;
        unlike += one.Landmarks!.ToBytes().AsSpan().SequenceEqual(two.Landmarks!.ToBytes()) ? 0 : 1;
        yield return new Figure(
            "threads.resultsUnlike",
            unlike,
            $"poses with their sigma, lens and landmarks of {flight.Captures.Count} captures, 1 against 2 threads (surfaces: tests)"
        );
    }

    /// <summary>To the bit: the polynomial's numbers, and what it leaves over.</summary>
    private static bool IsSame(Lens one, Lens two) =>
        one.Parameters.SequenceEqual(two.Parameters)
        && (
            (one, two) is (ResidualGridLens { Grid: var first }, ResidualGridLens { Grid: var second })
                ? first.ColumnOffsetsPixels.SequenceEqual(second.ColumnOffsetsPixels)
                    && first.RowOffsetsPixels.SequenceEqual(second.RowOffsetsPixels)
                : one.GetType() == two.GetType()
        );

    private static ReconstructionResult Place(SimulatedFlight flight, int threads) =>
        ReconstructionStage.Run(flight.Input, new ReconstructionSettings { MeasureSurface = false, Threads = threads });

    private static double PerCapture(ValidationRun run, int lines, int perLine)
    {
        SimulatedFlight flight = new(
            new SimulatedFlightSettings
            {
                Seed = 5,
                Lines = lines,
                PerLine = perLine,
            }
        );
        Dictionary<string, PictureFeatures> found = [];
        foreach (Capture capture in flight.Captures)
        {
            found[capture.Id] = flight.Input.FindFeatures!(capture);
        }

        TimeSpan before = Environment.CpuUsage.TotalTime;
        ReconstructionResult result = ReconstructionStage.Run(
            flight.Input with
            {
                FindFeatures = capture => found[capture.Id],
            },
            new ReconstructionSettings { MeasureSurface = false }
        );
        double seconds = (Environment.CpuUsage.TotalTime - before).TotalSeconds / flight.Captures.Count;
        run.Say(
            FormattableString.Invariant(
                $"{flight.Captures.Count} captures: {seconds:F3} processor seconds each; {string.Join(", ", result.Figures.Seconds.Select(step => FormattableString.Invariant($"{step.Step} {step.ProcessorSeconds:F1} s")))}"
            )
        );
        return seconds;
    }
}
