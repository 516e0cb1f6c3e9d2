using Hillrow.Checks;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Reconstruction.Tests;

[Trait("Pace", "long")]
public sealed class SimulatedFlightTests
{
    private static readonly SimulatedFlightSettings Small = new()
    {
        Seed = 17,
        Lines = 3,
        PerLine = 9,
        ControlPoints = 5,
        Checkpoints = 30,
    };

    [Fact]
    public void Run_NoPositionsButControl_PlacesAllByWhatTheyShow()
    {
        SimulatedFlight flight = new(Small);
        ReconstructionResult result = ReconstructionStage.Run(
            flight.Input with
            {
                Captures = [.. flight.Captures.Select(capture => capture with { Position = null, Attitude = null })],
            },
            new ReconstructionSettings { MeasureSurface = false }
        );
        Assert.Equal(27, result.Figures.CapturesPlaced);
        IReadOnlyList<Vector3D> off = flight.CheckErrors(result.Geometry!);
        double plan = Math.Sqrt(off.Average(entry => (entry.X * entry.X) + (entry.Y * entry.Y)));

        // One ground sample; the goal of a survey with positions is 0.6 of one.
        Assert.InRange(plan, 0, flight.GroundSampleMetres);
    }

    [Theory]
    [InlineData(14, 45.0, -40.0, 5.0)]
    [InlineData(0, 0.0, 70.0, 0.0)]
    [InlineData(20, 4e5, 9e5, -6e4)]
    public void Run_OnePositionWrong_PlacesItAndNamesIt(int capture, double east, double north, double up)
    {
        SimulatedFlight flight = new(
            Small with
            {
                ControlPoints = 0,
                WrongBy = new Dictionary<int, Vector3D> { [capture] = new(east, north, up) },
            }
        );
        ReconstructionResult result = ReconstructionStage.Run(
            flight.Input,
            new ReconstructionSettings { MeasureSurface = false }
        );
        Assert.Equal(27, result.Figures.CapturesPlaced);
        string id = flight.Captures[capture].Id;
        Assert.Contains(result.Outcome.Reasons, reason => reason.Contains(id, StringComparison.Ordinal));

        // The whole lies, turns and tilts as the receiver has it: one move of all is taken off, as in the figures.
        (Vector3D Truth, Vector3D Ours)[] middles =
        [
            .. Enumerable.Range(0, flight.Captures.Count).Select(index => flight.MiddleOf(result.Geometry!, index)),
        ];
        SimilarityMove move = SimilarityMove.Fit(
            [.. middles.Select(entry => (entry.Ours, entry.Truth))],
            SimilarityMove.None,
            [20, 3, 1, 0.3]
        );
        Assert.InRange(
            (move.Of(middles[capture].Ours) - middles[capture].Truth).Length,
            0,
            5 * flight.GroundSampleMetres
        );
    }

    [Fact]
    public void Run_NoPositionsAndNoControl_SaysWhatIsNeeded()
    {
        SimulatedFlight flight = new(Small);
        InputProblemException problem = Assert.Throws<InputProblemException>(() =>
            ReconstructionStage.Run(
                flight.Input with
                {
                    Captures = [.. flight.Captures.Select(capture => capture with { Position = null })],
                    Control = null,
                },
                new ReconstructionSettings { MeasureSurface = false }
            )
        );
        Assert.Contains("ground control", problem.Message, StringComparison.Ordinal);
    }
}
