using Hillrow.Imaging.Checks;
using Hillrow.TestSupport;
using Xunit;

namespace Hillrow.Imaging.Tests;

/// <summary>Judge: exiftool as Debian packs it, on files made afresh.</summary>
public sealed class PropertyBag_ExiftoolTests
{
    [Theory]
    [InlineData(1)]
    public void Read_EveryDialect_AgreesFieldByField(int seed)
    {
        Assert.SkipUnless(ExiftoolChecks.IsThere, "exiftool is not installed (apt: libimage-exiftool-perl).");
        DirectoryInfo folder = Directory.CreateTempSubdirectory("hillrow-exiftool-");
        try
        {
            CheckTally tally = ExiftoolChecks.Compare(seed, folder.FullName);
            Assert.True(tally.Failures.Count == 0, tally.Report());
            Assert.True(tally.Comparisons > 1000, tally.Report());
        }
        finally
        {
            folder.Delete(recursive: true);
        }
    }
}
