using Hillrow.Earth;
using Hillrow.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>All that decides a modelled estate and its camera; kept with the truth.</summary>
public sealed record RehearsedEstateSettings
{
    /// <summary>Of terrain, plants, rig and panel.</summary>
    public ulong Seed { get; init; } = 1;

    /// <summary>Extent of the modelled ground.</summary>
    public double Hectares { get; init; } = 2;

    /// <summary>Mean fall, rise over run; without a terrain file.</summary>
    public double MeanSlope { get; init; } = 0.24;

    /// <summary>A terrain file (GeoTIFF, north-up) to plant on; null makes a fractal hillside.</summary>
    public string? TerrainFile { get; init; }

    /// <summary>Middle of the estate in degrees, for a terrain file; null takes the file's middle.</summary>
    public double? LatitudeDegrees { get; init; }

    public double? LongitudeDegrees { get; init; }

    /// <summary>The rig carries the thermal sensor on every flight.</summary>
    public bool Thermal { get; init; }

    /// <summary>Days on which the estate can be flown, in order.</summary>
    public IReadOnlyList<DateOnly> Dates { get; init; } = [new(2026, 4, 12), new(2026, 8, 23)];

    /// <summary>Every broken rule, with what is allowed.</summary>
    public IReadOnlyList<string> Problems()
    {
        List<string> problems = [];
        if (!(Hectares is >= 0.3 and <= 6))
        {
            problems.Add(FormattableString.Invariant($"hectares is {Hectares}, but must be from 0.3 to 6"));
        }

        if (!(MeanSlope is >= 0 and <= 0.6))
        {
            problems.Add(
                FormattableString.Invariant($"slope is {MeanSlope}, but must be from 0 to 0.6 (rise over run)")
            );
        }

        if (Dates.Count is < 1 or > 12 || Dates.Zip(Dates.Skip(1)).Any(pair => pair.Second <= pair.First))
        {
            problems.Add("dates must be 1 to 12 days, each later than the one before");
        }

        return problems;
    }
}

/// <summary>The modelled estate with its camera, built anew from its settings whenever it is flown.</summary>
public sealed class RehearsedEstate
{
    private RehearsedEstate(RehearsedEstateSettings settings, EstateSettings model, EstatePlace place)
    {
        Settings = settings;
        Model = model;
        Place = place;
        Layout = EstateLayout.Build(model);
        History = PlantingHistory.Build(model, Layout);
        Rig = TrueRig.Build(settings.Seed);
        Sensor = IrradianceSensor.Build(settings.Seed);
        Thermal = settings.Thermal ? ThermalCamera.Build(settings.Seed) : null;
        // Where it lies changes; what its certificate says does not.
        Panel = PanelBoard.Build(settings.Seed, Vector3D.Zero);
    }

    public RehearsedEstateSettings Settings { get; }

    public EstateSettings Model { get; }

    public EstatePlace Place { get; }

    public EstateLayout Layout { get; }

    /// <summary>By date.</summary>
    public IReadOnlyList<PlantingOnDay> History { get; }

    public TrueRig Rig { get; }

    public IrradianceSensor Sensor { get; }

    /// <summary>The rig's sixth sensor, where it carries one.</summary>
    public ThermalCamera? Thermal { get; }

    public PanelBoard Panel { get; }

    /// <summary>Ground-control targets: on the road and in the free margin, where no crown hides them.</summary>
    public IReadOnlyList<ControlTarget> Targets
    {
        get
        {
            SceneExtent extent = Model.Extent;
            const double HalfEdge = 0.3;
            double margin = 0.06 * Math.Min(extent.WidthMetres, extent.LengthMetres) * 0.55;
            ControlTarget OnRoad(string name, double share)
            {
                double east = extent.WestMetres + (share * extent.WidthMetres);
                // In a wheel track: grass stands between the two.
                return new ControlTarget(name, east, Layout.RoadOffset(east).RoadNorthMetres + 0.95, HalfEdge);
            }

            return
            [
                new("A", extent.WestMetres + margin, extent.SouthMetres + margin, HalfEdge),
                new("B", extent.EastMetres - margin, extent.SouthMetres + margin, HalfEdge),
                new("C", extent.EastMetres - margin, extent.NorthMetres - margin, HalfEdge),
                new("D", extent.WestMetres + margin, extent.NorthMetres - margin, HalfEdge),
                OnRoad("E", 0.22),
                OnRoad("F", 0.52),
                OnRoad("G", 0.81),
            ];
        }
    }

    /// <summary>Where the panel lies: on the road, at its western end.</summary>
    public (double EastMetres, double NorthMetres) PanelPlace
    {
        get
        {
            double east = Model.Extent.WestMetres + (0.1 * Model.Extent.WidthMetres);
            return (east, Layout.RoadOffset(east).RoadNorthMetres);
        }
    }

    /// <exception cref="InputProblemException">A setting breaks a rule, or the terrain file does not cover the estate.</exception>
    public static RehearsedEstate Build(RehearsedEstateSettings settings)
    {
        ArgumentNullException.ThrowIfNull(settings);
        IReadOnlyList<string> problems = settings.Problems();
        if (problems.Count > 0)
        {
            throw new InputProblemException("hillrow rehearse", string.Join("; ", problems) + ".", "Change them.");
        }

        // As wide to long as the six blocks want it.
        double length = Math.Sqrt(settings.Hectares * 10_000 / 1.2);
        double width = 1.2 * length;
        EstateSettings model = new()
        {
            Seed = settings.Seed,
            Extent = new SceneExtent(-width / 2, -length / 2, width, length),
            MeanSlope = settings.MeanSlope,
            Dates = settings.Dates,
        };
        if (settings.TerrainFile is null)
        {
            return new RehearsedEstate(settings, model, EstatePlace.InventedValley);
        }

        GivenTerrain given = GivenTerrain.Open(settings, model.Extent);
        return new RehearsedEstate(settings, model with { SmoothTerrain = given.HeightAt }, given.Place);
    }

    /// <summary>Index of a day that can be flown.</summary>
    /// <exception cref="InputProblemException">It is none of them.</exception>
    public int DateIndex(DateOnly day)
    {
        for (int index = 0; index < Settings.Dates.Count; index++)
        {
            if (Settings.Dates[index] == day)
            {
                return index;
            }
        }

        throw new InputProblemException(
            "--date",
            $"{day:yyyy-MM-dd} is no day of this rehearsal.",
            $"There are: {string.Join(", ", Settings.Dates.Select(date => $"{date:yyyy-MM-dd}"))}."
        );
    }

    /// <summary>The estate on a day under the sun of a moment.</summary>
    /// <exception cref="InputProblemException">The sun is too low.</exception>
    public ModelledScene SceneAt(
        int dateIndex,
        DateTimeOffset moment,
        CloudField clouds,
        double aerosolDepth,
        int threads
    )
    {
        PlantingOnDay planting = History[dateIndex];
        SunPosition sun = SunPosition.At(moment, Place.Frame.Origin);
        if (sun.Altitude.Degrees < 15)
        {
            throw new InputProblemException(
                "--start",
                FormattableString.Invariant($"the sun stands at {sun.Altitude.Degrees:0.#}° then."),
                "Fly when it is above 15°: about 12:00 to 19:30 UTC here."
            );
        }

        LightState light = LightState.Of(
            sun.Azimuth.Degrees,
            sun.Altitude.Degrees,
            planting.Day,
            new ClearSky(aerosolDepth, 1.3, 0.86),
            clouds
        );
        TerrainPosts terrain = HillsideTerrain.Build(Model, Layout, threads);
        Vegetation vegetation = Vegetation.Grow(Model, Layout, terrain, planting, dateIndex, threads);
        return ModelledScene.Build(terrain, vegetation, planting, light, Targets, threads);
    }
}
