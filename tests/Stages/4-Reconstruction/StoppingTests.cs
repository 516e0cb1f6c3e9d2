using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Reconstruction.Tests;

/// <summary>A stop that is asked for in the middle of a loop ends that loop, not only the stage between its parts.</summary>
[Trait("Pace", "long")]
public sealed class StoppingTests
{
    [Theory]
    [InlineData("finding features")]
    [InlineData("matching captures")]
    [InlineData("placing captures")]
    [InlineData("aligning bands")]
    [InlineData("measuring heights")]
    [InlineData("finding the ground")]
    public void Run_StoppedInAPart_NoLaterPartBegins(string part)
    {
        PlainScene scene = new(2, 3, 5);
        using CancellationTokenSource stop = new();
        StopAt progress = new(part, stop);
        Assert.ThrowsAny<OperationCanceledException>(() =>
            ReconstructionStage.Run(scene.Input, new ReconstructionSettings { Threads = 2 }, progress, stop.Token)
        );
        Assert.Equal(part, progress.Last);
    }

    private sealed class StopAt(string part, CancellationTokenSource stop) : IProgress<WorkProgress>
    {
        public string Last { get; private set; } = "";

        public void Report(WorkProgress value)
        {
            Last = value.What;
            if (value.What == part)
            {
                stop.Cancel();
            }
        }
    }
}
