namespace Hillrow.Rehearsal;

/// <summary>What the modelled estate is like; every draw follows from the seed.</summary>
public sealed record EstateSettings
{
    public ulong Seed { get; init; } = 1;

    /// <summary>Local east-north-up metres. 180 × 160 m holds six blocks and takes about 0.3 GiB.</summary>
    public SceneExtent Extent { get; init; } = new(-96, -80, 192, 160);

    /// <summary>Mean fall of the hillside, rise over run: 0.15 … 0.40 is coffee land.</summary>
    public double MeanSlope { get; init; } = 0.24;

    /// <summary>Direction that the hillside faces (falls to), degrees clockwise from north.</summary>
    public double AspectDegrees { get; init; } = 160;

    /// <summary>Up coordinate at the middle of the extent.</summary>
    public double MiddleHeightMetres { get; init; }

    /// <summary>The user's own terrain: up coordinate for (east, north); null makes fractal terrain.</summary>
    public Func<double, double, double>? SmoothTerrain { get; init; }

    /// <summary>Edge of a vegetation cell; about the ground sample of the flight, so that leaves are one pixel.</summary>
    public double CellMetres { get; init; } = 0.05;

    public double RowSpacingMetres { get; init; } = 2.5;

    public double PlantSpacingMetres { get; init; } = 1.5;

    public double GapShare { get; init; } = 0.05;

    public double DoubleStemShare { get; init; } = 0.04;

    public double DeadShare { get; init; } = 0.03;

    public double ReplantedShare { get; init; } = 0.03;

    /// <summary>The days at which the estate is looked at, in order; plants change between them.</summary>
    public IReadOnlyList<DateOnly> Dates { get; init; } = [new(2026, 4, 12), new(2026, 8, 23)];
}
