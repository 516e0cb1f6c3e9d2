using Hillrow.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>Renders what the thermal sensor sees of a scene, ray by ray: few pixels, many leaves in each.</summary>
internal sealed class ThermalRenderer
{
    /// <summary>Rays along a pixel's edge: a pixel is some five leaf cells wide.</summary>
    private const int Side = 4;

    private const int SampleColumns = (ThermalCamera.Columns + 2) * Side;
    private const int SampleRows = (ThermalCamera.Rows + 2) * Side;
    private readonly ModelledScene scene;
    private readonly ThermalCamera camera;
    private readonly LensLattice lattice;
    private readonly LensBlur blur;
    private readonly SurfaceHeat heat;

    public ThermalRenderer(ModelledScene scene, ThermalCamera camera)
    {
        this.scene = scene;
        this.camera = camera;
        lattice = new LensLattice(camera.Lens, ThermalCamera.Columns, ThermalCamera.Rows);
        blur = new LensBlur(camera.BlurPixels, Side);
        heat = new SurfaceHeat(scene);
    }

    /// <param name="threads">The result does not depend on it.</param>
    public ThermalTruth Render(
        RigPose pose,
        double seconds,
        WindSway wind,
        ThermalWeather weather,
        double driftKelvin,
        uint seed,
        int threads
    )
    {
        Samples samples = new(
            new float[SampleColumns * SampleRows],
            new float[SampleColumns * SampleRows],
            new int[SampleColumns * SampleRows]
        );
        ParallelOptions parallel = new() { MaxDegreeOfParallelism = threads };
        Sky sky = new(scene, seconds);
        SceneTracer tracer = new(scene, wind);
        Parallel.For(0, SampleRows, parallel, row => Row(row, pose, tracer, sky, weather, seed, samples));
        float[] brightness = new float[ThermalCamera.Columns * ThermalCamera.Rows];
        float[] scratch = new float[SampleColumns];
        for (int row = 0; row < ThermalCamera.Rows; row++)
        {
            Span<float> line = brightness.AsSpan(row * ThermalCamera.Columns, ThermalCamera.Columns);
            blur.Gather(
                samples.Radiance.AsSpan(row * Side * SampleColumns, 3 * Side * SampleColumns),
                SampleColumns,
                scratch,
                line
            );
            foreach (ref float value in line)
            {
                value = (float)HeatRadiance.BrightnessKelvin(value);
            }
        }

        return new ThermalTruth(
            driftKelvin,
            weather.AirKelvin,
            weather.SkyKelvin,
            weather.PathPerMetre,
            Surface(samples),
            brightness,
            Crowns(samples)
        );
    }

    private void Row(
        int row,
        RigPose pose,
        SceneTracer tracer,
        Sky sky,
        ThermalWeather weather,
        uint seed,
        Samples samples
    )
    {
        Matrix3D turn = camera.CameraToLocal(pose);
        Vector3D centre = camera.Centre(pose);
        double air = HeatRadiance.OfBlackBody(weather.AirKelvin);
        double above = HeatRadiance.OfBlackBody(weather.SkyKelvin);
        SurfaceHit hit = default;
        for (int column = 0; column < SampleColumns; column++)
        {
            uint draw = LatticeNoise.Hash(column, row, seed);
            float x = ((column + ((draw & 0xffff) / 65536f)) / Side) - 1;
            float y = ((row + ((draw >> 16) / 65536f)) / Side) - 1;
            lattice.At(x, y, out float rayX, out float rayY, out _, out _, out _, out _);
            Vector3D d = turn * new Vector3D(rayX, rayY, 1);
            tracer.Trace(
                (float)centre.X,
                (float)centre.Y,
                (float)centre.Z,
                (float)d.X,
                (float)d.Y,
                (float)Math.Min(d.Z, -0.05),
                ref hit
            );
            HeatOfSurface surface = heat.Of(
                hit,
                weather.AirKelvin,
                sky.BeamNow(hit.East, hit.North),
                sky.BeamLately(hit.East, hit.North)
            );
            double leaves =
                (surface.Emissivity * HeatRadiance.OfBlackBody(surface.Kelvin))
                + ((1 - surface.Emissivity) * ((surface.SkySeen * above) + ((1 - surface.SkySeen) * air)));
            double through = weather.Transmittance(hit.Distance * d.Length);
            int at = (row * SampleColumns) + column;
            samples.Radiance[at] = (float)((through * leaves) + ((1 - through) * air));
            samples.Kelvin[at] = (float)surface.Kelvin;
            samples.Plant[at] = scene.PlantNumberAt(hit);
        }
    }

    private static float[] Surface(Samples samples)
    {
        float[] kelvin = new float[ThermalCamera.Columns * ThermalCamera.Rows];
        for (int at = 0; at < kelvin.Length; at++)
        {
            int row = ((at / ThermalCamera.Columns) + 1) * Side;
            int column = ((at % ThermalCamera.Columns) + 1) * Side;
            double sum = 0;
            for (int sample = 0; sample < Side * Side; sample++)
            {
                sum += samples.Kelvin[((row + (sample / Side)) * SampleColumns) + column + (sample % Side)];
            }

            kelvin[at] = (float)(sum / (Side * Side));
        }

        return kelvin;
    }

    private static List<CrownHeat> Crowns(Samples samples)
    {
        Dictionary<int, (double Kelvin, int Rays)> sums = [];
        for (int row = Side; row < SampleRows - Side; row++)
        {
            for (int column = Side; column < SampleColumns - Side; column++)
            {
                int at = (row * SampleColumns) + column;
                if (samples.Plant[at] > 0)
                {
                    (double kelvin, int rays) = sums.GetValueOrDefault(samples.Plant[at]);
                    sums[samples.Plant[at]] = (kelvin + samples.Kelvin[at], rays + 1);
                }
            }
        }

        return
        [
            .. sums.OrderBy(sum => sum.Key)
                .Select(sum => new CrownHeat(
                    sum.Key,
                    sum.Value.Kelvin / sum.Value.Rays,
                    sum.Value.Rays / (double)(Side * Side)
                )),
        ];
    }

    private sealed record Samples(float[] Radiance, float[] Kelvin, int[] Plant);

    /// <summary>Clouds now and over the last minute.</summary>
    private sealed class Sky(ModelledScene scene, double seconds)
    {
        private readonly CloudShadow[] moments =
        [
            .. new[] { 0, 20, 40, 60 }.Select(ago => new CloudShadow(
                scene.Terrain.Extent,
                scene.Light.Clouds,
                seconds - ago
            )),
        ];

        public double BeamNow(float east, float north) => moments[0].IsCloudy ? moments[0].At(east, north) : 1;

        public double BeamLately(float east, float north) =>
            moments[0].IsCloudy ? moments.Average(moment => moment.At(east, north)) : 1;
    }
}
