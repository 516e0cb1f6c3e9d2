using Hillrow.Checks;
using Xunit;

namespace Hillrow.Radiometry.Tests;

public sealed class PlantedFaultsTests
{
    [Fact]
    public void Run_PlantedFaults_NoneIsUsedWithoutAWord() =>
        Assert.All(PlantedFaults.All(), fault => Assert.False(fault.SilentlyUsed, fault.ToString()));
}
