using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Planning;

/// <summary>A block to be pictured, in the plan's local frame.</summary>
/// <param name="Name">As in the block book.</param>
/// <param name="Parts">Its polygons.</param>
/// <param name="RowSpacingMetres">From row to row; null when not said.</param>
/// <param name="RowAzimuthDegrees">Direction of the rows, clockwise from north; null takes the contour.</param>
public sealed record PlanBlock(
    string Name,
    IReadOnlyList<PlanPolygon> Parts,
    double? RowSpacingMetres = null,
    double? RowAzimuthDegrees = null
)
{
    public double AreaSquareMetres => Parts.Sum(part => part.AreaSquareMetres);
}

/// <summary>Where the aircraft takes off and lands and the pilot stands.</summary>
public sealed record HomePoint(string Name, PlanPoint Place);

/// <summary>A place that must not be flown over, at any height.</summary>
public sealed record NoFlyArea(string Name, PlanPolygon Outline);

/// <summary>The camera as the plan needs it.</summary>
/// <param name="Name">Of the profile.</param>
/// <param name="BandName">Band whose pixel and footprint rule: the one with the least of both, or the one asked for.</param>
/// <param name="Lens">Of that band.</param>
/// <param name="ShortestIntervalSeconds">Between two triggers.</param>
/// <param name="BytesPerCapture">Written to the card, all bands.</param>
public sealed record PlanCamera(
    string Name,
    string BandName,
    Lens Lens,
    double ShortestIntervalSeconds,
    long BytesPerCapture
)
{
    /// <summary>Angle that one pixel spans in the middle of the frame.</summary>
    public double PixelAngleRadians { get; } =
        new SightedFrame(CameraPose.FromAttitude(default, Attitude.FromDegrees(0, 0, 0)), Lens).PixelAngleRadians;

    /// <summary>Width across the line and length along it of a picture straight down on level ground.</summary>
    public (double WidthMetres, double LengthMetres) LevelFootprint(double heightMetres)
    {
        double Across(double column)
        {
            Vector3D ray = Lens.RayOf(new PixelPoint(column, Lens.Rows / 2.0));
            return ray.X / ray.Z;
        }

        double Along(double row)
        {
            Vector3D ray = Lens.RayOf(new PixelPoint(Lens.Columns / 2.0, row));
            return ray.Y / ray.Z;
        }

        return (heightMetres * (Across(Lens.Columns) - Across(0)), heightMetres * (Along(Lens.Rows) - Along(0)));
    }

    /// <summary>Bytes of a capture as uncompressed 16-bit frames, the most any camera writes.</summary>
    public static PlanCamera Of(CameraProfile profile, string? bandName = null)
    {
        ArgumentNullException.ThrowIfNull(profile);
        CameraBand band = bandName is null ? profile.ReferenceBand : profile.Band(bandName);
        return new PlanCamera(
            profile.Name,
            band.Name,
            band.Lens,
            profile.ShortestTriggerIntervalSeconds,
            profile.Bands.Sum(each => 2L * each.Sensor.Rows * each.Sensor.Columns)
        );
    }
}

/// <summary>Wind that the plan allows for: the strongest that is expected.</summary>
/// <param name="MetresPerSecond">At flying height.</param>
/// <param name="FromDegrees">Where it comes from, clockwise from north.</param>
public readonly record struct Wind(double MetresPerSecond, double FromDegrees)
{
    public double EastMetresPerSecond => -MetresPerSecond * Math.Sin(FromDegrees * Math.PI / 180);

    public double NorthMetresPerSecond => -MetresPerSecond * Math.Cos(FromDegrees * Math.PI / 180);
}

/// <summary>All that a plan is made from.</summary>
/// <param name="Frame">Local east-north-up frame of every place and height below.</param>
/// <param name="Terrain">Ground as known before flying, wide enough around blocks and homes.</param>
/// <param name="TerrainSigmaMetres">Standard error of its heights.</param>
/// <param name="Blocks">At least one.</param>
/// <param name="Homes">At least one.</param>
/// <param name="Camera">Lens and timing.</param>
/// <param name="Aircraft">Energy and limits.</param>
public sealed record PlanningInput(
    LocalFrame Frame,
    HeightField Terrain,
    double TerrainSigmaMetres,
    IReadOnlyList<PlanBlock> Blocks,
    IReadOnlyList<HomePoint> Homes,
    PlanCamera Camera,
    AircraftProfile Aircraft
)
{
    public IReadOnlyList<NoFlyArea> NoFly { get; init; } = [];

    public IReadOnlyList<Obstacle> Obstacles { get; init; } = [];

    /// <summary>Roads and tracks, for ground control that can be reached.</summary>
    public IReadOnlyList<IReadOnlyList<PlanPoint>> Tracks { get; init; } = [];

    /// <summary>Coarser terrain far around, for shadows that ridges cast; null takes <see cref="Terrain"/>.</summary>
    public HeightField? Surroundings { get; init; }
}
