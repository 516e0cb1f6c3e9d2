using Hillrow.Imaging;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Rehearsal.Tests;

public sealed class FrameRendererTests
{
    private const int Columns = 384;
    private const int Rows = 288;

    [Fact]
    public void Render_OneAndTwoThreads_SameBytes()
    {
        float[] one = Render(threads: 1, capture: 4);
        float[] two = Render(threads: 2, capture: 4);
        Assert.True(one.AsSpan().SequenceEqual(two));
        Assert.False(one.AsSpan().SequenceEqual(Render(threads: 2, capture: 5)));
    }

    [Fact]
    public void Render_AnyFrame_ValuesArePlausibleReflectance()
    {
        float[] factors = Render(threads: 2, capture: 1);
        Assert.All(factors, value => Assert.InRange(value, 0.0005f, 2.5f));
        Assert.InRange(factors.Average(), 0.15, 0.6);
    }

    [Fact]
    public void Render_OnDryRoad_BandsFollowTheMaterial()
    {
        // The road reflects more red than green, living plants the other way round.
        double roadNorth = EstateLayout.Build(SmallEstate.Settings).RoadOffset(0).RoadNorthMetres;
        RigPose pose = new(
            new Vector3D(0, roadNorth + 2, SmallEstate.Scene.Terrain.HeightAt(0, roadNorth) + 100),
            0,
            0,
            0
        );
        TrueRig rig = SmallEstate.CentredRig(1, Columns, Rows);
        RigLens green = rig.Lenses[1];
        RigLens red = green with { Band = RigBand.Five[2] };
        CaptureMaps maps = CaptureMaps.Of(SmallEstate.Scene, green, pose, Calm, 2, Columns, Rows);
        float[] inGreen = Render(green, pose);
        float[] inRed = Render(red, pose);
        (double road, double plants, int roads, int crowns) = (0, 0, 0, 0);
        for (int index = 0; index < inGreen.Length; index++)
        {
            if (maps.Material[index] == (byte)GroundMaterial.Road)
            {
                road += inRed[index] / inGreen[index];
                roads++;
            }
            else if (maps.PlantNumber[index] > 0)
            {
                plants += inRed[index] / inGreen[index];
                crowns++;
            }
        }

        Assert.True(roads > 200 && crowns > 1000);
        Assert.True(road / roads > 1.1);
        Assert.True(plants / crowns < 0.8);
    }

    [Fact]
    public void Of_DepthsSentBackThroughTheLens_LandOnTheirPixel()
    {
        RigPose pose = SmallEstate.Above(28);
        foreach (RigLens lens in TrueRig.Build(6).Lenses)
        {
            CaptureMaps maps = CaptureMaps.Of(SmallEstate.Scene, lens, pose, Calm, 2, Columns, Rows);
            Vector3D centre = lens.Centre(pose);
            Matrix3D turn = lens.CameraToLocal(pose);
            for (int index = 0; index < maps.DepthMetres.Length; index += 331)
            {
                double column = (index % Columns) + 0.5;
                double row = (index / Columns) + 0.5;
                Vector3D point = centre + (turn * lens.Lens.Ray(column, row) * maps.DepthMetres[index]);
                PixelPoint back = lens.Project(pose, point);
                Assert.Equal(column, back.Column, 1e-4);
                Assert.Equal(row, back.Row, 1e-4);
                Assert.True(maps.GroundDepthMetres[index] >= maps.DepthMetres[index] - 0.01);
            }
        }
    }

    [Fact]
    public void At_BetweenNodes_StaysWithinAThousandthOfAPixel()
    {
        TrueLens lens = TrueRig.Build(4).Lenses[0].Lens;
        LensLattice lattice = new(lens, TrueRig.Columns, TrueRig.Rows);
        double worst = 0;
        for (int column = 2; column < TrueRig.Columns; column += 37)
        {
            for (int row = 2; row < TrueRig.Rows; row += 41)
            {
                lattice.At(column, row, out float x, out float y, out _, out _, out _, out _);
                PixelPoint back = lens.Project(new Vector3D(x, y, 1));
                worst = Math.Max(worst, Math.Abs(back.Column - column) + Math.Abs(back.Row - row));
            }
        }

        Assert.True(worst < 2e-3, $"worst {worst} px");
    }

    internal static WindSway Calm { get; } = new(SmallEstate.Settings.Extent, 0, 0, 0);

    private static float[] Render(RigLens lens, RigPose pose)
    {
        float[] factors = new float[Columns * Rows];
        new FrameRenderer(SmallEstate.Scene, lens, Columns, Rows).Render(
            pose,
            Vector3D.Zero,
            0,
            Calm,
            new FrameSettings(4, 1, 1, OfSurface: true, 2),
            factors
        );
        return factors;
    }

    private static float[] Render(int threads, int capture)
    {
        float[] factors = new float[Columns * Rows];
        RigLens lens = TrueRig.Build(1).Lenses[4];
        WindSway wind = new(SmallEstate.Settings.Extent, 0.03, 11, 2);
        new FrameRenderer(SmallEstate.Scene, lens, Columns, Rows).Render(
            SmallEstate.Above(28),
            new Vector3D(0.004, 0, 0),
            11,
            wind,
            new FrameSettings(4, 3, capture, OfSurface: false, threads),
            factors
        );
        return factors;
    }
}
