using System.Text.Json;
using Hillrow.Earth;
using Hillrow.Intake;
using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>Holes of the coverage as polygons that any map reads, and the flight plan takes as targets (RFC 7946).</summary>
internal static class HoleGeoJson
{
    private const int Digits = 8;

    public static string Write(IReadOnlyList<CoverageHole> holes, LocalFrame frame) =>
        JsonSerializer.Serialize(
            new
            {
                type = "FeatureCollection",
                features = holes.Select(
                    (hole, at) =>
                        new
                        {
                            type = "Feature",
                            properties = new
                            {
                                name = $"hole {at + 1}",
                                block = hole.Block,
                                areaSquareMetres = Math.Round(hole.AreaSquareMetres),
                                widthMetres = Math.Round(hole.WidthMetres, 1),
                                minutes = Math.Round(hole.Minutes, 1),
                            },
                            geometry = new
                            {
                                type = "Polygon",
                                coordinates = new[] { hole.RingLocalMetres.Select(corner => Place(corner, frame)) },
                            },
                        }
                ),
            }
        );

    private static double[] Place(LocalPlace corner, LocalFrame frame)
    {
        GeodeticPosition place = frame.ToGeodetic(new Vector3D(corner.East, corner.North, 0));
        return
        [
            Math.Round(place.Longitude.WrappedSigned().Degrees, Digits),
            Math.Round(place.Latitude.Degrees, Digits),
        ];
    }
}
