using Hillrow.Earth;
using Hillrow.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>How a flight is rehearsed.</summary>
/// <param name="Seed">Of gusts, instrument errors and noise.</param>
/// <param name="Start">First trigger, UTC.</param>
public sealed record RehearsalFlightSettings(ulong Seed, DateTimeOffset Start)
{
    /// <summary>Rays per pixel, a square number; the rehearsal promises at least 4.</summary>
    public int Samples { get; init; } = 4;

    /// <summary>The pictures do not depend on it.</summary>
    public int Threads { get; init; } = Environment.ProcessorCount;

    public MotionSettings Motion { get; init; } = new();

    /// <summary>Largest shift of leaves 2 m above the ground; 0.03 is a light breeze.</summary>
    public double WindAmplitudeMetres { get; init; } = 0.03;

    /// <summary>Seconds between the panel pictures and the flight's ends.</summary>
    public double PanelPauseSeconds { get; init; } = 75;

    /// <summary>Which panel; null takes one of the flight's own seed. A panel is carried from flight to flight.</summary>
    public ulong? PanelSeed { get; init; }

    /// <summary>Where the panel lies; null leaves the panel pictures out.</summary>
    public (double EastMetres, double NorthMetres)? PanelPlace { get; init; }

    /// <summary>The sixth sensor; null flies without.</summary>
    public ThermalCamera? Thermal { get; init; }

    public int Columns { get; init; } = TrueRig.Columns;

    public int Rows { get; init; } = TrueRig.Rows;
}

/// <summary>Flies a plan over a modelled scene and makes every frame of every capture.</summary>
public sealed class RehearsalFlight
{
    private readonly ModelledScene scene;
    private readonly TrueRig rig;
    private readonly IrradianceSensor sensor;
    private readonly EstatePlace place;
    private readonly RehearsalFlightSettings settings;
    private readonly FrameRenderer[] renderers;
    private readonly ThermalRenderer? thermal;
    private readonly ThermalWeather weather;

    public RehearsalFlight(
        ModelledScene scene,
        TrueRig rig,
        IrradianceSensor sensor,
        EstatePlace place,
        RehearsalFlightSettings settings
    )
    {
        ArgumentNullException.ThrowIfNull(rig);
        ArgumentNullException.ThrowIfNull(settings);
        this.scene = scene;
        this.rig = rig;
        this.sensor = sensor;
        this.place = place;
        this.settings = settings;
        thermal = settings.Thermal is { } camera ? new ThermalRenderer(scene, camera) : null;
        weather = ThermalWeather.Draw(settings.Seed);
        renderers = [.. rig.Lenses.Select(lens => new FrameRenderer(scene, lens, settings.Columns, settings.Rows))];
    }

    /// <summary>
    /// Panel pictures, the plan's captures, panel pictures; hands each on as soon as it is made. Memory holds one
    /// capture at a time: its frames are overwritten by the next one. A capture does not depend on the others, so those
    /// that are there already may be left out.
    /// </summary>
    /// <param name="isWanted">By capture number; null makes all.</param>
    public void Fly(
        IReadOnlyList<PlannedCapture> plan,
        Action<RehearsalCapture> onCapture,
        Func<int, bool>? isWanted = null
    )
    {
        ArgumentNullException.ThrowIfNull(plan);
        ArgumentNullException.ThrowIfNull(onCapture);
        SplittableRandom root = new SplittableRandom(settings.Seed).Split("flight");
        IReadOnlyList<FlownPose> flown = FlightMotion.Fly(plan, settings.Motion, root.Split("motion"));
        int pixels = settings.Columns * settings.Rows;
        Buffers buffers = new(new float[pixels], [.. rig.Lenses.Select(_ => new ushort[pixels])]);
        int number = 0;
        bool Next() => isWanted?.Invoke(++number) ?? ++number > 0;
        double last = plan.Count == 0 ? 0 : plan[^1].Seconds;
        bool panels = settings.PanelPlace is not null;
        double[] drift = Drift(
            [
                .. panels ? [-settings.PanelPauseSeconds] : Array.Empty<double>(),
                .. plan.Select(planned => planned.Seconds),
                .. panels ? [last + settings.PanelPauseSeconds] : Array.Empty<double>(),
            ],
            root
        );
        if (settings.PanelPlace is { } before && Next())
        {
            onCapture(PanelCapture(before, number, -settings.PanelPauseSeconds, drift[number - 1], root, buffers));
        }

        for (int index = 0; index < plan.Count; index++)
        {
            if (Next())
            {
                onCapture(Make(flown[index], plan[index].Seconds, number, drift[number - 1], null, root, buffers));
            }
        }

        if (settings.PanelPlace is { } after && Next())
        {
            onCapture(PanelCapture(after, number, last + settings.PanelPauseSeconds, drift[number - 1], root, buffers));
        }
    }

    /// <summary>Drifting zero of the thermal sensor at every capture, also at those that are not made now.</summary>
    private double[] Drift(IReadOnlyList<double> seconds, SplittableRandom root)
    {
        DriftingError zero = new(
            settings.Thermal?.DriftKelvin ?? 0,
            ThermalCamera.DriftSeconds,
            root.Split("thermal drift")
        );
        return [.. seconds.Select((moment, index) => zero.After(index == 0 ? 0 : moment - seconds[index - 1]))];
    }

    private RehearsalCapture PanelCapture(
        (double EastMetres, double NorthMetres) at,
        int number,
        double seconds,
        double driftKelvin,
        SplittableRandom root,
        Buffers buffers
    )
    {
        double ground = scene.Terrain.HeightAt(at.EastMetres, at.NorthMetres);
        // On a small stand, so that gravel does not tilt it; held at breast height, a little off and turned.
        PanelBoard panel = PanelBoard.Build(
            settings.PanelSeed ?? settings.Seed,
            new Vector3D(at.EastMetres, at.NorthMetres, ground + 0.12)
        );
        SplittableRandom draw = root.Split("hand").Split((ulong)number);
        RigPose pose = new(
            panel.CentreMetres
                + new Vector3D(0.06 * draw.NextGaussian(), 0.06 * draw.NextGaussian(), draw.NextDouble(1.0, 1.25)),
            draw.NextDouble(0, 360),
            2.5 * draw.NextGaussian(),
            2.5 * draw.NextGaussian()
        );
        return Make(new FlownPose(pose, pose, Vector3D.Zero), seconds, number, driftKelvin, panel, root, buffers);
    }

    private RehearsalCapture Make(
        FlownPose flown,
        double seconds,
        int number,
        double driftKelvin,
        PanelBoard? panel,
        SplittableRandom root,
        Buffers buffers
    )
    {
        LightState light = scene.Light;
        WindSway wind = new(scene.Terrain.Extent, settings.WindAmplitudeMetres, seconds, settings.Seed);
        // A typical shutter moves the picture by a tenth of a pixel; the exact one is only known after metering.
        Vector3D travel = flown.VelocityMetresPerSecond * 0.001;
        SplittableRandom readings = root.Split("irradiance").Split((ulong)number);
        Exposure[] exposures = new Exposure[5];
        double[] stray = new double[5];
        double[] irradiance = new double[5];
        FrameTruth[] seen = new FrameTruth[5];
        int side = (int)Math.Round(Math.Sqrt(settings.Samples));
        for (int band = 0; band < 5; band++)
        {
            TrueSensor chip = rig.Lenses[band].Sensor;
            FrameTally tally = renderers[band].Tally(side);
            renderers[band]
                .Render(
                    flown.True,
                    travel,
                    seconds,
                    wind,
                    new FrameSettings(settings.Samples, settings.Seed, number, OfSurface: false, settings.Threads),
                    buffers.Radiance,
                    panel,
                    tally
                );
            seen[band] = tally.Result();
            float scale = (float)(light.Bands[band].Total / Math.PI);
            foreach (ref float value in buffers.Radiance.AsSpan())
            {
                value *= scale;
            }

            exposures[band] = ExposureControl.Choose(chip, buffers.Radiance);
            uint noise = LatticeNoise.Hash(number, band, unchecked((uint)settings.Seed + 99));
            chip.Expose(
                buffers.Radiance,
                settings.Columns,
                settings.Rows,
                exposures[band],
                noise,
                buffers.Frames[band],
                settings.Threads,
                out stray[band]
            );
            irradiance[band] = sensor.Read(band, light, flown.True, scene.Terrain.HeightAt, seconds, readings);
        }

        ThermalTruth? warm = thermal?.Render(
            flown.True,
            seconds,
            wind,
            weather,
            driftKelvin,
            LatticeNoise.Hash(number, 5, unchecked((uint)settings.Seed)),
            settings.Threads
        );
        Vector3D below = flown.True.PositionMetres;
        return new RehearsalCapture(
            number,
            panel is not null,
            settings.Start.AddSeconds(seconds),
            buffers.Frames,
            exposures,
            place.ToGeodetic(flown.Reported.PositionMetres),
            flown.Reported,
            irradiance,
            new CaptureTruth(
                number,
                seconds,
                flown.True,
                travel,
                light.Bands,
                light.Clouds.BeamShare(below.X, below.Y, seconds),
                light.Clouds.SkyFactor(seconds),
                stray,
                settings.WindAmplitudeMetres,
                panel,
                seen
            )
            {
                Thermal = warm,
            }
        )
        {
            Thermal = warm is null
                ? null
                : new ThermalFrame(
                    settings.Thermal!.Expose(
                        warm.BrightnessKelvin,
                        warm.DriftKelvin,
                        LatticeNoise.Hash(number, 6, unchecked((uint)settings.Seed + 99))
                    ),
                    settings.Thermal.HousingKelvin
                ),
        };
    }

    private sealed record Buffers(float[] Radiance, IReadOnlyList<ushort[]> Frames);
}
