using Hillrow.Imaging;
using Hillrow.Mapping.Checks;
using Hillrow.Numerics;
using Hillrow.Sight;
using Xunit;

namespace Hillrow.Mapping.Tests;

/// <summary>The plain twin of the resampler: exact geodesy, the lens itself, one sample at a time in double precision.</summary>
internal sealed class BandGeometryTwin(SyntheticSurvey survey)
{
    public double Sample(int capture, int band, int row, int column)
    {
        BandGeometry of = survey.Geometry.BandOf(survey.Bands[band]);
        PlacedCapture placed = survey.Geometry.Captures[capture];
        CameraPose pose = of.Mount.PoseOfBand(placed.Pose);
        Assert.True(of.Lens.TryProject(pose.ToCamera(survey.LocalOf(row, column)), out PixelPoint pixel));
        return Resampling.Sample(
            survey.FrameOf(placed.CaptureId, of.Band),
            of.Lens.Rows,
            of.Lens.Columns,
            pixel,
            ResamplingMethod.Bilinear
        );
    }
}
