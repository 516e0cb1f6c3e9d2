using System.Globalization;
using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using NetTopologySuite.Geometries;
using NetTopologySuite.Geometries.Prepared;

namespace Hillrow.Estate;

/// <summary>Whether the terrain reaches far enough around every block for planning, flying and checking.</summary>
internal static class PackTerrain
{
    /// <summary>Turns, ways home and the pictures' edges.</summary>
    private const double FlightMarginMetres = 400;

    /// <summary>Ridges this far away may still shade a block, and hide the aircraft; see <see cref="PlanInputs"/>.</summary>
    private const double SurroundingsMetres = 4000;

    /// <summary>Free terrain has posts 30 m apart; a void of one post does no harm.</summary>
    private const double FinestStepMetres = 30;

    private const double MostPlaces = 2500;

    /// <summary>Single posts without height are bridged by their neighbours.</summary>
    private const double BridgedShare = 0.002;

    /// <summary>What is missing has no side when its middle lies closer to the whole's middle than this share of the half width.</summary>
    private const double AllAround = 0.25;

    private static readonly string[] Winds =
    [
        "north",
        "north-east",
        "east",
        "south-east",
        "south",
        "south-west",
        "west",
        "north-west",
    ];

    public static IEnumerable<PackItem> Look(EstateFolder estate, IReadOnlyList<Block> blocks)
    {
        Block[] outlined = [.. blocks.Where(block => !block.Boundary.IsEmpty)];
        if (outlined.Length == 0)
        {
            yield break;
        }

        ReferenceSystem system = estate.ReferenceSystem;
        GeographicArea area = GeographicArea.Around([
            .. outlined.SelectMany(block => block.Boundary.Coordinates).Select(at => system.ToWgs84(at.X, at.Y)),
        ]);
        Earth.Terrain? terrain = null;
        PackItem? none = null;
        try
        {
            terrain = TerrainTiles.OpenFolder(estate.TerrainFolder, area.Widened(SurroundingsMetres));
        }
        catch (InputProblemException fault)
        {
            none = new PackItem(PackState.Missing, "terrain", fault.Problem, fault.Remedy);
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            none = new PackItem(
                PackState.Missing,
                "terrain",
                "the folder terrain cannot be read.",
                "Put a GeoTIFF or .hgt height tile of the estate into it."
            );
        }

        if (terrain is null)
        {
            yield return none!;
            yield break;
        }

        int whole = 0;
        foreach (Block block in outlined)
        {
            (double missing, string wind) = Missing(terrain, system, block.Boundary, FlightMarginMetres);
            whole += missing <= BridgedShare ? 1 : 0;
            if (missing > BridgedShare)
            {
                yield return new PackItem(
                    PackState.Missing,
                    "terrain",
                    string.Create(
                        CultureInfo.InvariantCulture,
                        $"{block.Name}: {100 * missing:0.#} % of the ground in it and {FlightMarginMetres:0} m around has no height, {wind}."
                    ),
                    "Add the height tile that lies there to terrain/."
                );
            }
        }

        if (whole > 0)
        {
            yield return new PackItem(
                PackState.Ready,
                "terrain",
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"covers {whole} of {outlined.Length} blocks with {FlightMarginMetres:0} m around."
                )
            );
        }

        (double far, string side) = Missing(
            terrain,
            system,
            new GeometryFactory().BuildGeometry([.. outlined.Select(block => block.Boundary.Envelope)]).ConvexHull(),
            SurroundingsMetres
        );
        if (far > BridgedShare)
        {
            yield return new PackItem(
                PackState.Caution,
                "surroundings",
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"{100 * far:0} % of the {SurroundingsMetres / 1000:0} km around has no height, {side}: shadows of ridges there are not foreseen."
                ),
                "Add the neighbouring height tiles to terrain/."
            );
        }
    }

    /// <summary>Share of places in a shape and around it without a height, and where most of them lie from its middle.</summary>
    private static (double Share, string Wind) Missing(
        Earth.Terrain terrain,
        ReferenceSystem system,
        Geometry shape,
        double marginMetres
    )
    {
        Geometry wide = shape.Buffer(marginMetres);
        IPreparedGeometry inside = PreparedGeometryFactory.Prepare(wide);
        Envelope box = wide.EnvelopeInternal;
        double step = Math.Max(FinestStepMetres, Math.Sqrt(box.Area / MostPlaces));
        int all = 0;
        int missing = 0;
        double east = 0;
        double north = 0;
        for (double y = box.MinY + (step / 2); y < box.MaxY; y += step)
        {
            for (double x = box.MinX + (step / 2); x < box.MaxX; x += step)
            {
                if (!inside.Contains(wide.Factory.CreatePoint(new Coordinate(x, y))))
                {
                    continue;
                }

                all++;
                if (!terrain.TryHeightAt(system.ToWgs84(x, y), out _))
                {
                    missing++;
                    east += x - box.Centre.X;
                    north += y - box.Centre.Y;
                }
            }
        }

        if (Math.Sqrt((east * east) + (north * north)) < AllAround * missing * Math.Sqrt(box.Area) / 2)
        {
            return (missing / (double)Math.Max(1, all), "all around");
        }

        int sector = (int)Math.Round(Math.Atan2(east, north) / (Math.PI / 4));
        return (
            missing / (double)Math.Max(1, all),
            $"most of it to the {Winds[(sector + Winds.Length) % Winds.Length]}"
        );
    }
}
