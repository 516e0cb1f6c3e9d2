using System.Globalization;
using Hillrow.Checks;
using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Reconstruction;
using Hillrow.TestSupport;
using Hillrow.Validation.Chain;

namespace Hillrow.Validation.Real;

/// <summary>Estates around data that nobody here made, brought in and run by public commands alone.</summary>
/// <param name="folder">An empty folder of our own.</param>
internal sealed class RealEstates(string folder)
{
    /// <summary>Days on which the nine maps of one plot were flown, by their flights' numbers.</summary>
    private static readonly (string Flight, string Date)[] Season =
    [
        ("01", "2014-12-18"),
        ("02", "2015-01-06"),
        ("06", "2015-01-29"),
        ("11", "2015-02-26"),
        ("20", "2015-04-22"),
        ("23", "2015-05-15"),
        ("30", "2015-07-03"),
        ("36", "2015-08-13"),
        ("38", "2015-08-28"),
    ];

    /// <summary>Slanted pictures without positions, laid onto ground control, to the map; no block says what to map.</summary>
    public (string Estate, HillrowProcess.Ended Ended) Kite(string source)
    {
        string estate = Path.Combine(folder, "kite");
        string card = Directory.CreateDirectory(Path.Combine(folder, "kite-card")).FullName;
        string profile = Path.Combine(folder, "kite.toml");
        foreach (string picture in Directory.EnumerateFiles(Path.Combine(source, "images")))
        {
            File.Copy(picture, Path.Combine(card, Path.GetFileName(picture)));
        }

        KiteFlight flight = new(source);
        Control(Directory.CreateDirectory(Path.Combine(card, "ground-control")).FullName, flight);
        GeographicPoint middle = new(flight.Points[0].Place.Latitude, flight.Points[0].Place.Longitude);
        HillrowProcess.Must("new", estate, "--name", "Kite", "--at", Text(middle));
        LevelTerrain(Path.Combine(estate, "terrain", "level.tif"), middle, flight.Points);
        HillrowProcess.Must("camera", "learn", Path.Combine(source, "images"), "--output", profile);
        HillrowProcess.Must("intake", estate, card, "--camera", profile, "--link");
        return (estate, HillrowProcess.Run("run", estate, "--json"));
    }

    /// <summary>One street at two dates.</summary>
    public (string Estate, HillrowProcess.Ended Ended) Street(string source)
    {
        string estate = Path.Combine(folder, "street");
        HillrowProcess.Must("new", estate, "--name", "Street", "--zone", "10N");
        HillrowProcess.Must(["block", "add", estate, "Street", .. Corners(39.77060, -121.89402, 39.77188, -121.89236)]);
        foreach (string year in new[] { "2018", "2020" })
        {
            Map(estate, Path.Combine(source, "images", $"chico_{year}_0.tif"), "red,green,blue,nir", $"{year}-07-01");
        }

        return (estate, HillrowProcess.Run("run", estate, "--json"));
    }

    /// <summary>One plot at nine dates of a season.</summary>
    public (string Estate, HillrowProcess.Ended Ended) Plot(string source)
    {
        string estate = Path.Combine(folder, "plot");
        HillrowProcess.Must("new", estate, "--name", "Plot", "--zone", "18S");
        HillrowProcess.Must([
            "block",
            "add",
            estate,
            "Plot",
            .. Corners(-12.0768930, -76.9505206, -12.0767814, -76.9504601),
            "--row-spacing",
            "1.35",
            "--plant-spacing",
            "0.9",
        ]);
        foreach ((string flight, string date) in Season)
        {
            Map(estate, Path.Combine(source, $"plot3_flight{flight}_NIR_R_G.tif"), "nir,red,green", date);
        }

        return (estate, HillrowProcess.Run("run", estate, "--json"));
    }

    /// <summary>When the canopy model is said to be of; the data do not tell.</summary>
    public const string AlpineDate = "2010-07-01";

    /// <summary>
    /// A canopy model alone: heights over a ground of zero. No picture came with it; cells higher than 2 m are given as
    /// green and the others as bare, so that the map tells no more than the heights do.
    /// </summary>
    public (string Estate, ReferenceSystem System, HillrowProcess.Ended Ended) Alpine(string source)
    {
        const float GreenAboveMetres = 2;
        string estate = Path.Combine(folder, "alpine");
        string model = Path.Combine(source, "chm_chablais3.tif");
        string map = Path.Combine(folder, "alpine-green.tif");
        string ground = Path.Combine(folder, "alpine-ground.tif");
        using RasterFile file = RasterFile.Open(model);
        ReferenceSystem system = RasterReferenceSystem.Of(file);
        float[] heights = new float[file.Rows * file.Columns];
        file.ReadTrueValues(0, 0, new RasterWindow(0, 0, file.Rows, file.Columns), heights);
        GridGeometry grid = new(
            system,
            new GridPoint(file.Placement!.OriginX, file.Placement.OriginY),
            file.Placement.XPerColumn,
            file.Rows,
            file.Columns
        );
        float[] Where(float high, float low) =>
            [
                .. heights.Select(height =>
                    float.IsNaN(height) ? float.NaN
                    : height > GreenAboveMetres ? high
                    : low
                ),
            ];
        Cog.Write(
            map,
            new Raster<float>(
                new RasterLabel(grid, [new BandLabel("red"), new BandLabel("nir")]),
                [Where(0.05f, 0.25f), Where(0.45f, 0.3f)]
            )
        );
        Cog.Write(ground, new Raster<float>(RasterLabel.OfOneBand(grid, "height", "m"), [Where(0, 0)]));
        GeographicPoint middle = system.ToWgs84(grid.CentreOf(grid.Rows / 2, grid.Columns / 2));
        HillrowProcess.Must("new", estate, "--name", "Alpine", "--at", Text(middle));
        HillrowProcess.Must(["block", "add", estate, "Plot", .. CornersOf(grid, 0, 0, grid.Rows, grid.Columns)]);
        HillrowProcess.Must(
            "survey",
            "add",
            estate,
            "--map",
            map,
            "--bands",
            "red,nir",
            "--surface",
            model,
            "--ground",
            ground,
            "--date",
            AlpineDate
        );
        return (estate, system, HillrowProcess.Run("run", estate, "--json"));
    }

    /// <summary>16 ha of real steep ground, for a camera learnt from pictures; nothing is flown.</summary>
    /// <returns>The estate and the block's middle, "latitude,longitude".</returns>
    public (string Estate, string Middle) Andes(string source, string pictures)
    {
        // A 400 m square without voids around it whose mean slope is 53 %.
        const int FirstRow = 60;
        const int FirstColumn = 150;
        const int Side = 40;
        string estate = Path.Combine(folder, "andes");
        HillrowProcess.Must("new", estate, "--name", "Andes", "--zone", "17S");
        using RasterFile file = RasterFile.Open(Path.Combine(source, "ta.tif"));
        float[] heights = new float[file.Rows * file.Columns];
        file.ReadTrueValues(0, 3, new RasterWindow(0, 0, file.Rows, file.Columns), heights);
        GridGeometry grid = new(
            RasterReferenceSystem.Of(file),
            new GridPoint(file.Placement!.OriginX, file.Placement.OriginY),
            file.Placement.XPerColumn,
            file.Rows,
            file.Columns
        );
        Cog.Write(
            Path.Combine(estate, "terrain", "andes.tif"),
            new Raster<float>(
                RasterLabel.OfOneBand(grid, "height", "m") with
                {
                    Heights = VerticalReference.Ellipsoid,
                },
                [heights]
            )
        );
        HillrowProcess.Must(
            "camera",
            "learn",
            Path.Combine(pictures, "images"),
            "--output",
            Path.Combine(Directory.CreateDirectory(Path.Combine(estate, "cameras")).FullName, "kite.toml")
        );
        HillrowProcess.Must([
            "block",
            "add",
            estate,
            "Slope",
            .. CornersOf(grid, FirstRow, FirstColumn, FirstRow + Side, FirstColumn + Side),
        ]);
        return (
            estate,
            Text(grid.ReferenceSystem.ToWgs84(grid.CentreOf(FirstRow + (Side / 2), FirstColumn + (Side / 2))))
        );
    }

    private static string[] CornersOf(GridGeometry grid, int row, int column, int endRow, int endColumn) =>
        [
            .. new[] { (row, column), (row, endColumn), (endRow, endColumn), (endRow, column) }
                .Select(corner =>
                    grid.ReferenceSystem.ToWgs84(
                        grid.WestMetres + (corner.Item2 * grid.CellSizeMetres),
                        grid.NorthMetres - (corner.Item1 * grid.CellSizeMetres)
                    )
                )
                .SelectMany(at => new[] { "--corner", Text(at) }),
        ];

    private static void Map(string estate, string map, string bands, string date) =>
        HillrowProcess.Must(
            "survey",
            "add",
            estate,
            "--map",
            map,
            "--bands",
            bands,
            "--reflectance-one",
            "255",
            "--date",
            date
        );

    private static void Control(string folder, KiteFlight flight)
    {
        File.WriteAllLines(
            Path.Combine(folder, GroundControlFiles.PointsName),
            [
                "id,latitude,longitude,height,sigma_horizontal,sigma_height",
                .. flight.Points.Select(point =>
                    string.Create(
                        CultureInfo.InvariantCulture,
                        $"{point.Id},{point.Place.Latitude.Degrees:F9},{point.Place.Longitude.Degrees:F9},{point.Place.HeightAboveEllipsoidMetres:F3},1,2"
                    )
                ),
            ]
        );
        File.WriteAllLines(
            Path.Combine(folder, GroundControlFiles.MarksName),
            [
                "id,file,column,row,sigma_pixels",
                .. flight.Marks.Select(mark =>
                    string.Create(
                        CultureInfo.InvariantCulture,
                        $"{mark.PointId},{mark.File},{mark.Pixel.Column:F1},{mark.Pixel.Row:F1},3"
                    )
                ),
            ]
        );
    }

    /// <summary>The data set has no terrain: level ground at the mean of the surveyed heights, 2 km wide.</summary>
    private static void LevelTerrain(string file, GeographicPoint middle, IReadOnlyList<ControlPoint> points)
    {
        ReferenceSystem system = ReferenceSystem.UtmAt(middle);
        GridPoint at = system.ToGrid(middle);
        GridGeometry grid = new(system, new GridPoint(at.EastingMetres - 1000, at.NorthingMetres + 1000), 20, 100, 100);
        Raster<float> level = new(
            RasterLabel.OfOneBand(grid, "height", "m") with
            {
                Heights = VerticalReference.Ellipsoid,
            }
        );
        level.Fill((float)points.Average(point => point.Place.HeightAboveEllipsoidMetres));
        Cog.Write(file, level);
    }

    private static string[] Corners(double south, double west, double north, double east) =>
        [
            "--corner",
            Text(south, west),
            "--corner",
            Text(north, west),
            "--corner",
            Text(north, east),
            "--corner",
            Text(south, east),
        ];

    private static string Text(GeographicPoint at) => Text(at.Latitude.Degrees, at.Longitude.Degrees);

    private static string Text(double latitude, double longitude) =>
        string.Create(CultureInfo.InvariantCulture, $"{latitude:F7},{longitude:F7}");
}
