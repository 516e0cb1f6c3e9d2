using Hillrow.Imaging;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Rehearsal.Tests;

public sealed class FrameTruthTests
{
    private const int Columns = 200;
    private const int Rows = 150;

    [Fact]
    public void Tally_Frame_IsTheSurfaceFrameInWindowsAndCrowns()
    {
        ModelledScene scene = SmallEstate.Scene;
        RigLens lens = SmallEstate.CentredRig(3, Columns, Rows).Lenses[4];
        RigPose pose = SmallEstate.AboveCrowns(70);
        // Haze is on in the frame that is tallied, and the truth must not have it.
        FrameTruth truth = Seen(scene, lens, pose, ofSurface: false, threads: 1, out _);
        _ = Seen(scene, lens, pose, ofSurface: true, threads: 2, out float[] surface);
        Assert.Equal(25, truth.Columns);
        Assert.Equal(18, truth.Rows);
        double worst = 0;
        double squares = 0;
        for (int row = 0; row < truth.Rows; row++)
        {
            for (int column = 0; column < truth.Columns; column++)
            {
                double sum = 0;
                for (int pixel = 0; pixel < 64; pixel++)
                {
                    sum += surface[(((row * 8) + (pixel / 8)) * Columns) + (column * 8) + (pixel % 8)];
                }

                double miss = (sum / 64) - truth.Factor[(row * truth.Columns) + column];
                worst = Math.Max(worst, Math.Abs(miss));
                squares += miss * miss;
            }
        }

        // They differ by the lens's blur over a window's edge alone.
        double rms = Math.Sqrt(squares / truth.Factor.Length);
        Assert.True(rms < 0.01 && worst < 0.06, $"rms {rms}, worst {worst}");
        Assert.Equal(surface.Average(), truth.Factor.Average(), 0.003);

        CaptureMaps maps = CaptureMaps.Of(scene, lens, pose, FrameRendererTests.Calm, 2, Columns, Rows);
        CrownSeen[] large = [.. truth.Crowns.Where(crown => crown.Pixels > 150)];
        Assert.True(large.Length > 5);
        foreach (CrownSeen crown in large)
        {
            int[] own = [.. Enumerable.Range(0, Columns * Rows).Where(at => maps.PlantNumber[at] == crown.Plant)];
            // One ray a pixel against four: crowns are see-through, so single ones differ by chance.
            Assert.Equal(own.Length, crown.Pixels, 0.25 * crown.Pixels);
            Assert.Equal(own.Average(at => surface[at]), crown.Factor, 0.12 * crown.Factor);
            Assert.Equal(own.Average(at => (at % Columns) + 0.5), crown.Column, 0.6);
            Assert.Equal(own.Average(at => (at / Columns) + 0.5), crown.Row, 0.6);
        }

        double seen = truth.Crowns.Sum(crown => crown.Pixels);
        Assert.Equal(maps.PlantNumber.Count(number => number > 0), seen, 0.03 * seen);
        Assert.Equal(truth.Crowns.Sum(crown => crown.Pixels) / (Columns * Rows), truth.CrownShare.Average(), 0.03);
    }

    [Fact]
    public void Tally_OneAndTwoThreads_SameNumbers()
    {
        RigLens lens = SmallEstate.CentredRig(3, Columns, Rows).Lenses[1];
        RigPose pose = SmallEstate.AboveCrowns(70);
        FrameTruth one = Seen(SmallEstate.Scene, lens, pose, ofSurface: false, threads: 1, out _);
        FrameTruth two = Seen(SmallEstate.Scene, lens, pose, ofSurface: false, threads: 2, out _);
        Assert.Equal(one.Factor, two.Factor);
        Assert.Equal(one.CrownShare, two.CrownShare);
        Assert.Equal(one.Crowns, two.Crowns);
    }

    [Fact]
    public void Write_Capture_AnyTiffReaderGetsTheNumbersBack()
    {
        string root = Directory.CreateTempSubdirectory("frame-truth").FullName;
        try
        {
            TruthFolder folder = TruthFolder.Create(
                Path.Combine(root, "truth"),
                Path.Combine(root, "estate"),
                new RehearsedEstateSettings()
            );
            FrameTruth[] frames =
            [
                .. Enumerable
                    .Range(0, 5)
                    .Select(band => new FrameTruth(
                        2,
                        1,
                        [0.1f * band, 0.25f],
                        [1, 0.5f],
                        [new CrownSeen(40 + band, 0.3, 12.25, 7, 5)]
                    )),
            ];
            CaptureTruth truth = new(9, 0, default, default, [], 1, 1, [], 0, null, frames);
            FrameTruthFiles.Write(
                folder,
                "2026-04-12",
                new RehearsalCapture(9, false, default, [], [], default, default, [], truth)
            );
            string file = folder.PathOf(FrameTruthFiles.WindowsFile("2026-04-12", 9));
            for (int band = 0; band < 5; band++)
            {
                ushort[] factor = PictureReader.Read(file, page: 2 * band).Counts(0).ToArray();
                ushort[] share = PictureReader.Read(file, page: (2 * band) + 1).Counts(0).ToArray();
                Assert.Equal([(ushort)(2000 * band), (ushort)5000], factor);
                Assert.Equal([(ushort)65535, (ushort)32768], share);
            }

            string[] lines = File.ReadAllLines(folder.PathOf(FrameTruthFiles.CrownsFile("2026-04-12", 9)));
            Assert.Equal(5, lines.Length);
            Assert.Contains("\"band\":\"red edge\",\"plant\":43,\"factor\":0.3", lines[3], StringComparison.Ordinal);
        }
        finally
        {
            Directory.Delete(root, recursive: true);
        }
    }

    private static FrameTruth Seen(
        ModelledScene scene,
        RigLens lens,
        RigPose pose,
        bool ofSurface,
        int threads,
        out float[] factors
    )
    {
        FrameRenderer renderer = new(scene, lens, Columns, Rows);
        factors = new float[Columns * Rows];
        FrameTally tally = renderer.Tally(2);
        renderer.Render(
            pose,
            Vector3D.Zero,
            0,
            FrameRendererTests.Calm,
            new FrameSettings(4, 1, 1, ofSurface, threads),
            factors,
            null,
            tally
        );
        return tally.Result();
    }
}
