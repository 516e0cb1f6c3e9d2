using System.Runtime.Intrinsics;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Rehearsal.Tests;

/// <summary>The fast way through a scene judged by the plain one, ray by ray.</summary>
public sealed class PacketTracerTests
{
    [Theory]
    [InlineData(0.0)]
    [InlineData(0.05)]
    public void Trace_RandomPatches_MeetWhatThePlainTracerMeets(double windMetres)
    {
        Assert.SkipUnless(PacketTracer.IsSupported, "This machine casts its rays one by one.");
        ModelledScene scene = SmallEstate.Scene;
        WindSway wind = new(SmallEstate.Settings.Extent, windMetres, 11, 2);
        PacketTracer packets = new(scene, wind);
        SceneTracer plain = new(scene, wind);
        Random draw = new(8);
        Dictionary<SurfaceKind, int> met = [];
        int differing = 0;
        const int Patches = 6000;
        for (int patch = 0; patch < Patches; patch++)
        {
            RayPacket rays = Patch(draw);
            PacketHit hit = default;
            packets.Trace(rays, ref hit);
            for (int lane = 0; lane < RayPacket.Lanes; lane++)
            {
                SurfaceHit got = hit.Lane(lane);
                SurfaceHit want = Plain(plain, rays, lane);
                met[want.Kind] = met.GetValueOrDefault(want.Kind) + 1;
                bool same =
                    got.Kind == want.Kind
                    && Math.Abs(got.Distance - want.Distance) < 2e-3
                    && (want.Kind == SurfaceKind.Ground || got.Cell.Index == want.Cell.Index);
                differing += same ? 0 : 1;
            }
        }

        Assert.True(met.Values.All(count => count > 100), string.Join(", ", met));
        // The lean is taken once a patch and levels are counted from another zero: rays that graze a leaf's edge differ.
        double share = differing / (double)(Patches * RayPacket.Lanes);
        Assert.True(share < (windMetres > 0 ? 0.02 : 0.001), $"{share:P3} differ");
    }

    [Fact]
    public void Render_InPacketsAndOneByOne_SamePictureButForGrazingRays()
    {
        Assert.SkipUnless(PacketTracer.IsSupported, "This machine casts its rays one by one.");
        for (int band = 1; band < 5; band += 3)
        {
            float[] packets = Render(band, oneByOne: false);
            float[] plain = Render(band, oneByOne: true);
            double mean = plain.Average();
            int differing = packets.Zip(plain).Count(pair => Math.Abs(pair.First - pair.Second) > 0.002 * mean);
            Assert.True(differing < 0.05 * plain.Length, $"{differing} of {plain.Length} pixels");
            Assert.Equal(mean, packets.Average(), 2e-4 * mean);
        }
    }

    private static float[] Render(int band, bool oneByOne)
    {
        const int Columns = 240;
        const int Rows = 180;
        float[] factors = new float[Columns * Rows];
        RigLens lens = SmallEstate.CentredRig(3, Columns, Rows).Lenses[band];
        new FrameRenderer(SmallEstate.Scene, lens, Columns, Rows).Render(
            SmallEstate.Above(60),
            new Vector3D(0.004, 0, 0),
            11,
            new WindSway(SmallEstate.Settings.Extent, 0.03, 11, 2),
            new FrameSettings(4, 3, 1, OfSurface: false, 2) { OneByOne = oneByOne },
            factors
        );
        return factors;
    }

    private static RayPacket Patch(Random draw)
    {
        float east = (float)((draw.NextDouble() * 56) - 28);
        float north = (float)((draw.NextDouble() * 48) - 24);
        float dx = (float)((draw.NextDouble() - 0.5) * 1.1);
        float dy = (float)((draw.NextDouble() - 0.5) * 1.1);
        const float Height = 60;
        float[] offX = [.. Enumerable.Range(0, 8).Select(lane => ((lane % 4) + draw.NextSingle()) * 0.0004f)];
        float[] offY = [.. Enumerable.Range(0, 8).Select(lane => ((lane / 4) + draw.NextSingle()) * 0.0004f)];
        return new RayPacket
        {
            OriginX = Vector256.Create(east - (dx * Height)),
            OriginY = Vector256.Create(north - (dy * Height)),
            OriginZ = Vector256.Create(Height),
            DirectionX = Vector256.Create(dx) + Vector256.Create<float>(offX),
            DirectionY = Vector256.Create(dy) + Vector256.Create<float>(offY),
            DirectionZ = Vector256.Create(-1f),
            Spread = 0.0012f,
        };
    }

    private static SurfaceHit Plain(SceneTracer tracer, in RayPacket rays, int lane)
    {
        SurfaceHit hit = default;
        tracer.Trace(
            rays.OriginX.GetElement(lane),
            rays.OriginY.GetElement(lane),
            rays.OriginZ.GetElement(lane),
            rays.DirectionX.GetElement(lane),
            rays.DirectionY.GetElement(lane),
            rays.DirectionZ.GetElement(lane),
            ref hit
        );
        return hit;
    }
}
