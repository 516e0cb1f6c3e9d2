using Hillrow.EngineChild;
using Xunit;

namespace Hillrow.Estate.Tests;

public sealed class EngineTrialsTests : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("hillrow-trials-").FullName;

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Fact]
    public void Kill_AtSeededMoments_ResumesIdentically() =>
        Assert.Empty(EngineTrials.Kill(folder, seed: 11, trials: 1, millisecondsPerStep: 10, Say));

    [Fact]
    [Trait("Pace", "long")]
    public void Kill_ManySeededMoments_ResumesIdentically() =>
        Assert.Empty(EngineTrials.Kill(folder, seed: 12, trials: 30, millisecondsPerStep: 20, Say));

    [Fact]
    public void Contend_TwoProcesses_LoseAndCorruptNothing() =>
        Assert.Empty(EngineTrials.Contend(folder, seed: 13, rounds: 3, Say));

    [Fact]
    [Trait("Pace", "long")]
    public void Contend_TwoProcessesManyRounds_LoseAndCorruptNothing() =>
        Assert.Empty(EngineTrials.Contend(folder, seed: 14, rounds: 100, Say));

    private static void Say(string text) => TestContext.Current.TestOutputHelper?.WriteLine(text);
}
