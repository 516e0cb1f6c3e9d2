using Hillrow.Checks;
using Hillrow.TestSupport;
using Xunit;

namespace Hillrow.Imaging.Tests;

public sealed class ImageProcessing_CheckBookTests
{
    [Fact]
    public void Filters_ScipyPictures_Hold() => AllHold(ImageProcessingChecks.Filters());

    [Fact]
    public void Masks_ScipyPictures_Hold() => AllHold(ImageProcessingChecks.Masks());

    [Fact]
    public void Otsu_ThresholdsAndPercentiles_Hold() => AllHold(ImageProcessingChecks.Otsu());

    [Fact]
    public void Labelling_RegionsAndMeasures_Hold() => AllHold(ImageProcessingChecks.Components());

    [Fact]
    public void LocalPeaks_Cases_Hold() => AllHold(ImageProcessingChecks.Peaks());

    [Fact]
    public void WatershedFlood_Cases_Hold() => AllHold(ImageProcessingChecks.Watershed());

    [Fact]
    public void CoOccurrence_Cases_Hold() => AllHold(ImageProcessingChecks.Texture());

    [Fact]
    public void TemplateMatch_Cases_Hold() => AllHold(ImageProcessingChecks.Template());

    [Fact]
    public void ShiftEstimate_PeriodicPairs_Hold() => AllHold(ImageProcessingChecks.Shift());

    [Fact]
    public void Resampling_Samples_Hold() => AllHold(ImageProcessingChecks.Samples());

    private static void AllHold(CheckTally tally) => Assert.True(tally.Failures.Count == 0, tally.Report());
}
