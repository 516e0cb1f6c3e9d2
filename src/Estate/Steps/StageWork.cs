using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>What every stage's step needs of the run: progress carried over, and the terrain around some captures.</summary>
internal static class StageWork
{
    /// <summary>Terrain is read this far beyond the captures: rays from the outermost ones meet the slope beside them.</summary>
    private const double TerrainMarginMetres = 600;

    /// <summary>A stage's own progress as a part of its step's.</summary>
    public static IProgress<WorkProgress> Progress(this StepContext context, double from = 0, double to = 1) =>
        new Carried(context, from, to);

    /// <summary>Fewer recorded positions do not place a survey; surveyed points then say where it is.</summary>
    private const int LeastPositions = 3;

    /// <summary>The estate's terrain around captures that know where they are.</summary>
    /// <param name="captures">Of the survey.</param>
    /// <param name="surveyed">Ground control, which says where the survey is when the captures do not.</param>
    /// <param name="terrainFolder">The estate's tiles.</param>
    /// <exception cref="InputProblemException">Nothing says where the survey is, or no tile covers it.</exception>
    public static Terrain TerrainAround(
        IReadOnlyList<Capture> captures,
        IEnumerable<GeographicPoint> surveyed,
        string terrainFolder
    )
    {
        GeographicPoint[] places =
        [
            .. captures
                .Select(capture => capture.Position)
                .OfType<CapturePosition>()
                .Select(position => new GeographicPoint(position.Latitude, position.Longitude)),
        ];
        if (places.Length < LeastPositions)
        {
            places = [.. places, .. surveyed];
        }

        if (places.Length == 0)
        {
            throw new InputProblemException(
                "captures",
                "none of them has a recorded position, and the card has no ground control.",
                "Check in the camera profile where positions are recorded, or put a folder ground-control with points.csv and marks.csv (three surveyed points or more, each marked in two pictures) on the card and bring it again."
            );
        }

        // One wild position must not ask for a continent of terrain: the middle half says where the survey is.
        GeographicPoint middle = new(
            Median(places.Select(place => place.Latitude)),
            Median(places.Select(place => place.Longitude))
        );
        GeographicArea near = GeographicArea.Around([middle]).Widened(5000);
        GeographicArea area = GeographicArea
            .Around(
                places.Where(place =>
                    place.Latitude.Degrees >= near.SouthDegrees
                    && place.Latitude.Degrees <= near.NorthDegrees
                    && place.Longitude.Degrees >= near.WestDegrees
                    && place.Longitude.Degrees <= near.EastDegrees
                )
            )
            .Widened(TerrainMarginMetres);
        return TerrainTiles.OpenFolder(terrainFolder, area);
    }

    private static Angle Median(IEnumerable<Angle> angles)
    {
        Angle[] sorted = [.. angles.Order()];
        return sorted[sorted.Length / 2];
    }

    /// <summary>Stops the work from inside the stage when the user asked for that, like any other report.</summary>
    private sealed class Carried(StepContext context, double from, double to) : IProgress<WorkProgress>
    {
        public void Report(WorkProgress value) => context.Report(from + ((to - from) * value.ShareDone));
    }
}
