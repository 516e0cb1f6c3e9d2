using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Rehearsal;

namespace Hillrow.Validation.Rehearsal;

/// <summary>Frames turned back into reflectance and onto the map with the true rig, poses and surface.</summary>
public sealed class RenderClosure : FigureSource
{
    private const double CellMetres = 0.05;

    public override string Area => "rehearsal";

    public override int Order => 1;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        double worstShare = 0;
        double worstShift = 0;
        int windows = 0;
        IReadOnlyList<ulong> seeds = RehearsedDay.Seeds(run);
        foreach (ulong seed in seeds)
        {
            (double share, double shift, int count) = OfSeed(seed, run.Quick ? [2] : [0, 2, 4]);
            run.Say(
                FormattableString.Invariant(
                    $"  seed {seed}: inverted within {share:G3}, laid within {shift:F4} px in {count} windows"
                )
            );
            worstShare = Math.Max(worstShare, share);
            worstShift = Math.Max(worstShift, shift);
            windows += count;
        }

        yield return new Figure(
            "reflectance.invertedMeanErrorShare",
            worstShare,
            $"mean of a frame exposed and inverted with the true rig against its true reflectance factor, worst band of {seeds.Count} seeds"
        );
        yield return new Figure(
            "ortho.shiftPx",
            worstShift,
            $"frame laid on the map with the true pose and surface against the truth from above: mean shift of {windows} windows of open ground, worst band and direction of {seeds.Count} seeds"
        );
    }

    private static (double Share, double Shift, int Windows) OfSeed(ulong seed, int[] bands)
    {
        int threads = Environment.ProcessorCount;
        EstateSettings settings = new() { Seed = seed % 1000, Extent = new SceneExtent(-56, -48, 112, 96) };
        (ModelledScene scene, _) = RehearsedDay.Build(settings, 0, CloudField.None, [], threads);
        TrueRig rig = TrueRig.Build(seed);
        RigPose pose = new(new Vector3D(2, 1, scene.Terrain.HeightAt(2, 1) + 66), 31, 2.5, -3);
        WindSway calm = new(settings.Extent, 0, 0, 0);
        double worstShare = 0;
        double worstShift = 0;
        int windows = 0;
        foreach (int band in bands)
        {
            RigLens lens = rig.Lenses[band];
            FrameRenderer renderer = new(scene, lens);
            float[] factors = new float[TrueRig.Columns * TrueRig.Rows];
            FrameSettings frame = new(9, seed, band, OfSurface: true, threads);
            renderer.Render(pose, Vector3D.Zero, 0, calm, frame, factors);
            worstShare = Math.Max(worstShare, InvertedError(scene, lens, factors, seed, threads));
            (double shift, int count) = OrthoShift(scene, lens, pose, factors, threads);
            worstShift = Math.Max(worstShift, shift);
            windows += count;
        }

        return (worstShare, worstShift, windows);
    }

    private static double InvertedError(ModelledScene scene, RigLens lens, float[] factors, ulong seed, int threads)
    {
        int band = RigBand.Five.ToList().IndexOf(lens.Band);
        float perFactor = (float)(scene.Light.Bands[band].Total / Math.PI);
        float[] radiance = [.. factors.Select(value => value * perFactor)];
        Exposure exposure = ExposureControl.Choose(lens.Sensor, radiance);
        ushort[] counts = new ushort[radiance.Length];
        lens.Sensor.Expose(
            radiance,
            TrueRig.Columns,
            TrueRig.Rows,
            exposure,
            (uint)(seed & 0xffffffff),
            counts,
            threads,
            out double stray
        );
        double got = 0;
        double want = 0;
        for (int index = 0; index < counts.Length; index++)
        {
            int count = counts[index] >> TrueSensor.StoredShift;
            if (count >= TrueSensor.WhiteCount)
            {
                continue;
            }

            double column = (index % TrueRig.Columns) + 0.5;
            double row = (index / TrueRig.Columns) + 0.5;
            got += (lens.Sensor.Radiance(count, column, row, exposure) - stray) / perFactor;
            want += factors[index];
        }

        return Math.Abs((got / want) - 1);
    }

    /// <summary>Mean shift in frame pixels between the frame laid on the map and the truth, over open-ground windows.</summary>
    private static (double Shift, int Windows) OrthoShift(
        ModelledScene scene,
        RigLens lens,
        RigPose pose,
        float[] factors,
        int threads
    )
    {
        EstatePlace place = EstatePlace.InventedValley;
        int band = RigBand.Five.ToList().IndexOf(lens.Band);
        GridPoint middle = place.ToMap(new Vector3D(2, 1, 0));
        const int Side = 800;
        GridGeometry grid = new(
            place.Zone.ToReferenceSystem(),
            new GridPoint(
                middle.EastingMetres - (Side / 2 * CellMetres),
                middle.NorthingMetres + (Side / 2 * CellMetres)
            ),
            CellMetres,
            Side,
            Side
        );
        OrthoTruth truth = OrthoTruth.Render(scene, place, grid, 9, threads);
        float[] laid = new float[Side * Side];
        bool[] open = new bool[Side * Side];
        CaptureMaps maps = CaptureMaps.Of(scene, lens, pose, new WindSway(scene.Terrain.Extent, 0, 0, 0), threads);
        for (int at = 0; at < laid.Length; at++)
        {
            GridPoint centre = grid.CentreOf(at / Side, at % Side);
            PixelPoint pixel = lens.Project(pose, place.ToLocal(centre, truth.MiddleHeightMetres[at]));
            int column = (int)Math.Floor(pixel.Column - 0.5);
            int row = (int)Math.Floor(pixel.Row - 0.5);
            if (column < 0 || row < 0 || column >= TrueRig.Columns - 1 || row >= TrueRig.Rows - 1)
            {
                continue;
            }

            int corner = (row * TrueRig.Columns) + column;
            double fx = pixel.Column - 0.5 - column;
            double fy = pixel.Row - 0.5 - row;
            double high = factors[corner] + ((factors[corner + 1] - factors[corner]) * fx);
            double low =
                factors[corner + TrueRig.Columns]
                + ((factors[corner + TrueRig.Columns + 1] - factors[corner + TrueRig.Columns]) * fx);
            laid[at] = (float)(high + ((low - high) * fy));
            // Open ground, also two pixels around: leaves hide different things from above and from the side.
            open[at] = truth.Material[at] != 255 && IsOpen(maps, column, row);
        }

        return MapShift.Mean(laid, truth.Reflectance[band], open, Side, 64);
    }

    private static bool IsOpen(CaptureMaps maps, int column, int row)
    {
        for (int y = Math.Max(0, row - 1); y <= Math.Min(TrueRig.Rows - 1, row + 2); y++)
        {
            for (int x = Math.Max(0, column - 1); x <= Math.Min(TrueRig.Columns - 1, column + 2); x++)
            {
                if (maps.Material[(y * TrueRig.Columns) + x] == 255)
                {
                    return false;
                }
            }
        }

        return true;
    }
}
