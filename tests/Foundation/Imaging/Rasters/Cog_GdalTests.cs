using Hillrow.Checks;
using Hillrow.TestSupport;
using Xunit;

namespace Hillrow.Imaging.Tests.Rasters;

public sealed class Cog_GdalTests : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("hillrow-cog-gdal-").FullName;

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Theory]
    [InlineData(BigTiffUse.WhenNeeded)]
    [InlineData(BigTiffUse.Always)]
    public void Write_FewLayouts_NoComplaintAndEveryValue(BigTiffUse bigTiff)
    {
        Assert.SkipWhen(GdalJudge.Absence is not null, GdalJudge.Absence ?? "");
        CheckTally tally = CogChecks.Run(folder, bigTiff, few: true);
        Assert.True(tally.Failures.Count == 0, tally.Report());
    }

    [Theory]
    [Trait("Pace", "long")]
    [InlineData(BigTiffUse.WhenNeeded)]
    [InlineData(BigTiffUse.Always)]
    public void Write_ManyLayouts_NoComplaintAndEveryValue(BigTiffUse bigTiff)
    {
        Assert.SkipWhen(GdalJudge.Absence is not null, GdalJudge.Absence ?? "");
        CheckTally tally = CogChecks.Run(folder, bigTiff, few: false);
        Assert.True(tally.Failures.Count == 0, tally.Report());
    }
}
