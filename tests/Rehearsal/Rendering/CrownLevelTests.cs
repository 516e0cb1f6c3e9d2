using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Rehearsal.Tests;

public sealed class CrownLevelTests
{
    [Fact]
    public void Render_LivingCrowns_MeanReflectanceIsThatOfLeavesNotOfPaint()
    {
        TrueRig rig = SmallEstate.CentredRig(1, 384, 288);
        RigPose pose = SmallEstate.AboveCrowns(60);
        // Published canopies of evergreen shrubs: a few per cent in blue and red, 0.3 to 0.6 in the near infrared.
        (double Low, double High)[] ranges = [(0.008, 0.05), (0.025, 0.11), (0.008, 0.06), (0.08, 0.3), (0.28, 0.62)];
        for (int band = 0; band < 5; band++)
        {
            RigLens lens = rig.Lenses[1] with { Band = RigBand.Five[band] };
            float[] factors = new float[384 * 288];
            new FrameRenderer(SmallEstate.Scene, lens, 384, 288).Render(
                pose,
                Vector3D.Zero,
                0,
                FrameRendererTests.Calm,
                new FrameSettings(4, 1, 1, OfSurface: true, 2),
                factors
            );
            CaptureMaps maps = CaptureMaps.Of(SmallEstate.Scene, lens, pose, FrameRendererTests.Calm, 2, 384, 288);
            Assert.True(maps.PlantNumber.Count(number => number > 0) > 5000);
            double mean = factors.Where((_, at) => maps.PlantNumber[at] > 0).Average();
            Assert.True(mean >= ranges[band].Low && mean <= ranges[band].High, $"{RigBand.Five[band].Name}: {mean:F3}");
        }
    }
}
