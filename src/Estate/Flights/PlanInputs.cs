using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Planning;
using Hillrow.Sight;
using NetTopologySuite.Geometries;

namespace Hillrow.Estate;

/// <summary>Gathers from an estate what a plan is made from, in one local frame.</summary>
public static class PlanInputs
{
    /// <summary>Terrain this far around blocks and homes: turns, ways around no-fly areas, pictures' edges.</summary>
    private const double MarginMetres = 400;

    /// <summary>Ridges this far away may still shade a block in the hours for flying: 30° over 4 km is 2300 m.</summary>
    private const double SurroundingsMetres = 4000;

    private const double SurroundingsPostMetres = 60;

    /// <summary>Posts of the local terrain; more would cost seconds.</summary>
    private const double MostPosts = 160_000;

    private const double FinestPostMetres = 10;

    /// <exception cref="InputProblemException">Something is missing or cannot be used.</exception>
    public static PlanningInput Gather(EstateFolder estate, PlanWishes wishes, int threads)
    {
        ArgumentNullException.ThrowIfNull(estate);
        ArgumentNullException.ThrowIfNull(wishes);
        IReadOnlyList<Block> blocks = Targets(estate, wishes);
        ReferenceSystem system = estate.ReferenceSystem;
        GeographicPoint[] corners =
        [
            .. blocks.SelectMany(block => block.Boundary.Coordinates).Select(at => system.ToWgs84(at.X, at.Y)),
        ];
        GeographicArea area = GeographicArea.Around(corners);
        string? site = wishes.SiteFile ?? Existing(Path.Combine(FlightsFolder(estate), "site.geojson"));
        IReadOnlyList<SiteFeature> features = site is null ? [] : SiteFile.Read(site);
        List<(string Name, GeographicPoint Place)> homes =
        [
            .. wishes.Homes.Select((place, at) => ($"home {at + 1}", place)),
        ];
        if (homes.Count == 0)
        {
            homes.AddRange(features.Where(one => one.Kind == "home").Select(one => (one.Name, one.Places[0])));
        }

        if (homes.Count == 0)
        {
            throw new InputProblemException(
                "plan",
                "does not know where the aircraft takes off.",
                FormattableString.Invariant(
                    $"Give --home LATITUDE,LONGITUDE, for instance --home={area.Centre.Latitude.Degrees:0.00000},{area.Centre.Longitude.Degrees:0.00000} (the middle of the blocks), or draw homes in flights/site.geojson."
                )
            );
        }

        GeographicArea whole = GeographicArea
            .Around([.. corners, .. homes.Select(home => home.Place)])
            .Widened(MarginMetres);
        Earth.Terrain terrain = TerrainTiles.OpenFolder(estate.TerrainFolder, area.Widened(SurroundingsMetres));
        LocalFrame frame = FrameAt(terrain, area.Centre, homes[0].Place);
        PlanPoint Local(GeographicPoint place)
        {
            Vector3D at = frame.ToLocal(place.AtHeightAboveEllipsoid(frame.Origin.HeightAboveEllipsoidMetres));
            return new PlanPoint(at.X, at.Y);
        }

        (HeightField ground, double sigma) = GroundOf(terrain, frame, whole, Local, wishes, threads);
        return new PlanningInput(
            frame,
            ground,
            sigma,
            [.. blocks.Select(block => ToPlan(block, system, Local))],
            [.. homes.Select(home => new HomePoint(home.Name, Local(home.Place)))],
            CameraOf(estate, wishes),
            Aircraft(estate, wishes)
        )
        {
            NoFly =
            [
                .. features
                    .Where(one => one.Kind == "no-fly")
                    .Select(one => new NoFlyArea(one.Name, new PlanPolygon([.. one.Places.Select(Local)]))),
            ],
            Obstacles =
            [
                .. features
                    .Where(one => one.Kind == "obstacle")
                    .Select(one => new Obstacle(
                        one.Name,
                        one.Shape switch
                        {
                            "Point" => ObstacleShape.Point,
                            "LineString" => ObstacleShape.Line,
                            _ => ObstacleShape.Area,
                        },
                        [.. one.Places.Select(Local)],
                        one.HeightMetres
                    )),
            ],
            Tracks =
            [
                .. features
                    .Where(one => one.Kind == "track")
                    .Select(one => (IReadOnlyList<PlanPoint>)[.. one.Places.Select(Local)]),
            ],
            Surroundings = LocalHeights.Of(
                terrain,
                frame,
                GridAround(area.Widened(SurroundingsMetres), Local, SurroundingsPostMetres),
                threads
            ),
        };
    }

    private static PlanCamera CameraOf(EstateFolder estate, PlanWishes wishes)
    {
        CameraProfile profile = CameraProfile.Load(
            Path.Combine(estate.Root, CameraChoice.Settle(estate, wishes.Camera))
        );
        return wishes.Band is not { } band || profile.Bands.Any(one => one.Name == band)
            ? PlanCamera.Of(profile, wishes.Band)
            : throw new InputProblemException(
                "--band",
                $"the camera {profile.Name} has no band \"{band}\".",
                $"There are: {string.Join(", ", profile.Bands.Select(one => one.Name))}. Another camera is named with --camera."
            );
    }

    public static string FlightsFolder(EstateFolder estate)
    {
        ArgumentNullException.ThrowIfNull(estate);
        return Path.Combine(estate.Root, "flights");
    }

    private static LocalFrame FrameAt(Earth.Terrain terrain, GeographicPoint middle, GeographicPoint home)
    {
        foreach (GeographicPoint place in new[] { middle, home })
        {
            if (terrain.TryHeightAt(place, out Height height))
            {
                double metres = height.EllipsoidalMetres(place, GeoidModel.Egm96);
                return new LocalFrame(middle.AtHeightAboveEllipsoid(metres));
            }
        }

        throw new InputProblemException(
            "terrain",
            $"has no height in the middle of the blocks ({middle}), nor at home.",
            "Add a terrain tile that covers the estate."
        );
    }

    private static LocalGrid GridAround(GeographicArea area, Func<GeographicPoint, PlanPoint> local, double postMetres)
    {
        PlanPoint southWest = local(GeographicPoint.FromDegrees(area.SouthDegrees, area.WestDegrees));
        PlanPoint northEast = local(GeographicPoint.FromDegrees(area.NorthDegrees, area.EastDegrees));
        double east = northEast.EastMetres - southWest.EastMetres;
        double north = northEast.NorthMetres - southWest.NorthMetres;
        double post = Math.Max(postMetres, Math.Sqrt(east * north / MostPosts));
        return new LocalGrid(
            southWest.EastMetres,
            northEast.NorthMetres,
            post,
            (int)Math.Ceiling(north / post),
            (int)Math.Ceiling(east / post)
        );
    }

    private static (HeightField Ground, double SigmaMetres) GroundOf(
        Earth.Terrain terrain,
        LocalFrame frame,
        GeographicArea area,
        Func<GeographicPoint, PlanPoint> local,
        PlanWishes wishes,
        int threads
    )
    {
        LocalGrid grid = GridAround(area, local, FinestPostMetres);
        HeightField coarse = LocalHeights.Of(terrain, frame, grid, threads);
        if (wishes.SurfaceFile is not { } file)
        {
            return (coarse, terrain.SigmaMetres);
        }

        TerrainTile tile =
            TerrainTiles.Read(
                file,
                area,
                whenUntold: VerticalReference.Ellipsoid,
                sigmaMetres: wishes.SurfaceSigmaMetres
            )
            ?? throw new InputProblemException(
                file,
                "does not cover the blocks.",
                "Name the ground or surface of an earlier survey of the same blocks."
            );
        HeightField fine = LocalHeights.Of(new Earth.Terrain([tile]), frame, grid, threads);
        // Beyond the finer ground the coarse one counts as three of its standard errors higher: safe, only less fine.
        float[] heights = new float[fine.Heights.Length];
        for (int at = 0; at < heights.Length; at++)
        {
            float known = fine.Heights[at];
            heights[at] = float.IsNaN(known) ? coarse.Heights[at] + (float)(3 * terrain.SigmaMetres) : known;
        }

        return (
            new HeightField(fine.WestMetres, fine.NorthMetres, fine.CellMetres, fine.Rows, fine.Columns, heights),
            wishes.SurfaceSigmaMetres
        );
    }

    private static IReadOnlyList<Block> Targets(EstateFolder estate, PlanWishes wishes)
    {
        BlockBook book = new(estate);
        if (wishes.TargetsFile is { } file)
        {
            BlockImportResult found = BlockImport.Read(BoundaryFile.Read(file), estate.ReferenceSystem, []);
            return found.Blocks.Count > 0
                ?
                [
                    .. found.Blocks.Select(block =>
                        block with
                        {
                            Boundary = Widened(block.Boundary, wishes.TargetMarginMetres),
                        }
                    ),
                ]
                : throw new InputProblemException(
                    file,
                    found.Refused.Count > 0 ? string.Join("; ", found.Refused.Take(5)) + "." : "holds no polygon.",
                    "Draw the targets again."
                );
        }

        IReadOnlyList<Block> blocks = wishes.Blocks.Count > 0 ? [.. wishes.Blocks.Select(book.Find)] : book.Blocks();
        return blocks.Count > 0
            ? blocks
            : throw new InputProblemException(
                estate.Root,
                "has no blocks yet.",
                "Bring the boundaries with `hillrow block import`."
            );
    }

    private static MultiPolygon Widened(MultiPolygon shape, double metres) =>
        metres <= 0
            ? shape
            : shape.Buffer(metres) switch
            {
                MultiPolygon many => many,
                Polygon one => shape.Factory.CreateMultiPolygon([one]),
                _ => shape,
            };

    private static PlanBlock ToPlan(Block block, ReferenceSystem system, Func<GeographicPoint, PlanPoint> local)
    {
        IReadOnlyList<PlanPoint> Ring(LineString ring) =>
            [.. ring.Coordinates.SkipLast(1).Select(at => local(system.ToWgs84(at.X, at.Y)))];
        return new PlanBlock(
            block.Name,
            [
                .. block
                    .Boundary.Geometries.Cast<Polygon>()
                    .Select(polygon => new PlanPolygon(
                        Ring(polygon.ExteriorRing),
                        [.. polygon.InteriorRings.Select(Ring)]
                    )),
            ],
            block.Facts.RowSpacingMetres
        );
    }

    private static AircraftProfile Aircraft(EstateFolder estate, PlanWishes wishes)
    {
        if (wishes.AircraftFile is { } file)
        {
            return AircraftToml.Load(file);
        }

        string folder = FlightsFolder(estate);
        string[] known = Directory.Exists(folder)
            ? [.. Directory.GetFiles(folder, "*.toml").Order(StringComparer.Ordinal)]
            : [];
        if (known.Length > 1)
        {
            throw new InputProblemException(
                folder,
                $"has {known.Length} aircraft profiles.",
                $"Say which with --aircraft: {string.Join(", ", known)}."
            );
        }

        return known.Length == 1
            ? AircraftToml.Load(known[0])
            : AircraftToml.Parse(AircraftToml.Cautious, "the cautious aircraft profile");
    }

    private static string? Existing(string path) => File.Exists(path) ? path : null;
}
