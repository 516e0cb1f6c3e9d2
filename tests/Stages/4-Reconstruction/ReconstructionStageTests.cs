using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;
using Xunit;

namespace Hillrow.Reconstruction.Tests;

[Trait("Pace", "long")]
public sealed class ReconstructionStageTests(PlainSceneRun run) : IClassFixture<PlainSceneRun>
{
    [Fact]
    public void Run_HillsideOfTwelveCaptures_PlacesAllWithinHalfAPixel()
    {
        ReconstructionFigures figures = run.Result.Figures;
        Assert.Equal(StageVerdict.Done, run.Result.Outcome.Verdict);
        Assert.Equal(12, figures.CapturesPlaced);
        Assert.InRange(figures.ReprojectionAfterPixels, 0.01, 0.5);
        Assert.True(figures.ReprojectionAfterPixels < figures.ReprojectionBeforePixels);
    }

    [Fact]
    public void Run_HillsideOfTwelveCaptures_TurnsBetweenCapturesAreTrue()
    {
        // A turn about the flight line and a shift across it look much alike: positions known to 0.03 m from 50 m
        // above leave 0.03 · √2 / 50 rad = 0.05° between two captures; three times that.
        const double LargestDegrees = 0.15;
        SurveyGeometry geometry = run.Result.Geometry!;
        for (int index = 1; index < geometry.Captures.Count; index++)
        {
            Matrix3D ours =
                geometry.Captures[index].Pose.LocalToCamera
                * geometry.Captures[index - 1].Pose.LocalToCamera.Transposed();
            Matrix3D truth =
                run.Scene.TruePoses[index].LocalToCamera * run.Scene.TruePoses[index - 1].LocalToCamera.Transposed();
            double degrees = (ours * truth.Transposed()).ToRotationVector().Length * 180 / Math.PI;
            Assert.True(degrees < LargestDegrees, $"{geometry.Captures[index].CaptureId}: {degrees:F3}°");
        }
    }

    [Fact]
    public void Run_SecondBandSeesShapesInReverse_BandsFallOnEachOther()
    {
        SurveyGeometry geometry = run.Result.Geometry!;
        BandGeometry band = geometry.BandOf("red");
        Assert.InRange(run.Result.Figures.Rig["red"].RmsPixels, 0.01, 0.6);
        double sum = 0;
        int count = 0;
        for (int row = 16; row < PlainScene.Rows; row += 32)
        {
            for (int column = 16; column < PlainScene.Columns; column += 32)
            {
                // From a reference pixel to the band's pixel: by the solved rig and by the true one.
                PixelPoint pixel = new(column, row);
                Vector3D solved = geometry.Bands[0].Lens.RayOf(pixel) * 50;
                Vector3D truth = run.Scene.TrueLens.RayOf(pixel) * 50;
                Assert.True(band.Lens.TryProject(band.Mount.ToBand(solved), out PixelPoint ours));
                Assert.True(
                    run.Scene.TrueBandLens.TryProject(run.Scene.TrueMount.ToBand(truth), out PixelPoint theirs)
                );
                sum += Math.Pow(ours.Column - theirs.Column, 2) + Math.Pow(ours.Row - theirs.Row, 2);
                count++;
            }
        }

        Assert.InRange(Math.Sqrt(sum / count), 0, 0.35);
    }

    [Fact]
    public void Run_HillsideOfTwelveCaptures_SurfaceHasTheShapeOfTheGround()
    {
        double[] off = run.SurfaceErrors();
        Assert.True(off.Length > 20_000);
        double rms = Math.Sqrt(off.Sum(value => value * value) / off.Length);

        // One ground sample is 0.125 m.
        Assert.InRange(rms, 0, 1.5 * 0.125);
    }

    [Fact]
    public void Run_OneThread_GivesTheSameBytes()
    {
        ReconstructionResult again = ReconstructionStage.Run(
            run.Scene.Input,
            new ReconstructionSettings { Threads = 1 }
        );
        Assert.Equal(
            run.Result.Geometry!.Captures.Select(capture => capture.Pose),
            again.Geometry!.Captures.Select(capture => capture.Pose)
        );
        Assert.True(run.Result.Surface!.Band(0).SequenceEqual(again.Surface!.Band(0)));
        Assert.True(run.Result.Ground!.Band(0).SequenceEqual(again.Ground!.Band(0)));
    }
}

/// <summary>One reconstruction that several tests look at.</summary>
public sealed class PlainSceneRun
{
    public PlainSceneRun()
    {
        Scene = new PlainScene(3, 4, 5);
        Result = ReconstructionStage.Run(Scene.Input, new ReconstructionSettings { Threads = 2 });
    }

    internal PlainScene Scene { get; }

    internal ReconstructionResult Result { get; }

    /// <summary>Surface less truth at measured cells, a tilted plane taken off (positions are metres wrong).</summary>
    internal double[] SurfaceErrors()
    {
        Raster<float> surface = Result.Surface!;
        Vector3D shift = default;
        SurveyGeometry geometry = Result.Geometry!;
        for (int index = 0; index < geometry.Captures.Count; index++)
        {
            Vector3D place = Scene.Frame.ToLocal(
                geometry.Frame.ToGeodetic(geometry.Captures[index].Pose.CentreLocalMetres)
            );
            shift += (place - Scene.TruePoses[index].CentreLocalMetres) / geometry.Captures.Count;
        }

        GridToLocal toLocal = new(surface.Grid, Scene.Frame, 1500);
        List<(double X, double Y, double Off)> found = [];
        for (int row = 0; row < surface.Rows; row++)
        {
            for (int column = 0; column < surface.Columns; column++)
            {
                if (Result.Confidence![0, row, column] > 1)
                {
                    Vector3D place = toLocal.ToLocal(row + 0.5, column + 0.5, surface[0, row, column]) - shift;
                    found.Add((place.X, place.Y, place.Z - PlainScene.HeightAt(place.X, place.Y)));
                }
            }
        }

        double mx = found.Average(entry => entry.X);
        double my = found.Average(entry => entry.Y);
        double mz = found.Average(entry => entry.Off);
        double xx = found.Sum(entry => (entry.X - mx) * (entry.X - mx));
        double yy = found.Sum(entry => (entry.Y - my) * (entry.Y - my));
        double xy = found.Sum(entry => (entry.X - mx) * (entry.Y - my));
        double xz = found.Sum(entry => (entry.X - mx) * (entry.Off - mz));
        double yz = found.Sum(entry => (entry.Y - my) * (entry.Off - mz));
        double determinant = (xx * yy) - (xy * xy);
        double a = ((xz * yy) - (yz * xy)) / determinant;
        double b = ((yz * xx) - (xz * xy)) / determinant;
        return [.. found.Select(entry => entry.Off - mz - (a * (entry.X - mx)) - (b * (entry.Y - my)))];
    }
}
