using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Mapping;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Mapping.Checks;

/// <summary>
/// Captures with ideal frames over an analytic surface whose reflectance is an analytic function of the place, so that
/// the value of every map cell is known. Frames are made pixel by pixel by ray casts of Sight's own, through the lens
/// itself: nothing of Mapping's kernels takes part.
/// </summary>
public sealed class SyntheticSurvey : IReflectanceFrames
{
    public const double FlightHeightMetres = 60;
    private const double PostMetres = 0.1;
    private const double BaseHeightMetres = 900;

    private readonly Func<double, double, double> heightOf;
    private readonly HeightField field;
    private readonly Dictionary<string, float[]> frames = [];

    /// <param name="heightOf">Height above <see cref="BaseHeightMetres"/> from easting and northing less the map's middle.</param>
    /// <param name="cellMetres">Cell of the map.</param>
    /// <param name="side">Cells a side of the map.</param>
    /// <param name="lines">Captures each way.</param>
    /// <param name="spacingMetres">Between captures.</param>
    /// <param name="seed">Of attitudes and of the texture.</param>
    public SyntheticSurvey(
        Func<double, double, double> heightOf,
        double cellMetres = 0.2,
        int side = 300,
        int lines = 3,
        double spacingMetres = 12,
        ulong seed = 1
    )
    {
        this.heightOf = heightOf;
        GeodeticPosition origin = GeodeticPosition.FromDegrees(-14.3, -42.6, BaseHeightMetres);
        LocalFrame frame = new(origin);
        ReferenceSystem system = ReferenceSystem.UtmAt(new GeographicPoint(origin.Latitude, origin.Longitude));
        GridPoint middle = system.ToGrid(new GeographicPoint(origin.Latitude, origin.Longitude));
        Middle = middle;
        double half = side * cellMetres / 2;
        Grid = new GridGeometry(
            system,
            new GridPoint(middle.EastingMetres - half, middle.NorthingMetres + half),
            cellMetres,
            side,
            side
        );
        Surface = MakeSurface(system, half + 12);
        int posts = (int)(2 * (half + 10) / PostMetres);
        field = LocalHeights.Of(
            Surface.Grid,
            Surface.BandMemory(0),
            frame,
            new LocalGrid(-half - 10, half + 10, PostMetres, posts, posts),
            2
        );
        Geometry = MakeGeometry(frame, lines, spacingMetres, seed);
        foreach (PlacedCapture capture in Geometry.Captures)
        {
            Parallel.For(0, Bands.Count, band => Render(capture, band));
        }
    }

    public SurveyGeometry Geometry { get; }

    public GridGeometry Grid { get; }

    public GridPoint Middle { get; }

    public Raster<float> Surface { get; }

    public IReadOnlyList<string> Bands { get; } = ["red", "nir"];

    /// <summary>Sun of the shadow layer.</summary>
    public Vector3D TowardsSunLocal { get; } = LookAngles.TowardsSun(Angle.FromDegrees(40), Angle.FromDegrees(90));

    /// <summary>Every frame that was loaded, in order.</summary>
    public List<string> Loads { get; } = [];

    public bool Has(string captureId, string band) => frames.ContainsKey(captureId + band);

    /// <summary>Ideal reflectance of a frame; for twins that judge (not counted as a load).</summary>
    public ReadOnlySpan<float> FrameOf(string captureId, string band) => frames[captureId + band];

    public void Load(string captureId, string band, Span<float> reflectance, Span<float> sigma)
    {
        lock (Loads)
        {
            Loads.Add(captureId + band);
        }

        frames[captureId + band].CopyTo(reflectance);
        sigma.Fill(0.01f);
    }

    /// <summary>What was not asked for is not there: a map that takes it all the same shows holes.</summary>
    public void LoadPart(
        string captureId,
        string band,
        ReadOnlySpan<ColumnSpan> wanted,
        Span<float> reflectance,
        Span<float> sigma
    )
    {
        Load(captureId, band, reflectance, sigma);
        int columns = reflectance.Length / wanted.Length;
        for (int row = 0; row < wanted.Length; row++)
        {
            ColumnSpan own = wanted[row].IsEmpty ? new ColumnSpan(0, 0) : wanted[row];
            Span<float> line = reflectance.Slice(row * columns, columns);
            line[..own.First].Fill(float.NaN);
            line[own.End..].Fill(float.NaN);
        }
    }

    public void Remove(string captureId, string band) => frames.Remove(captureId + band);

    /// <summary>Makes every second capture's ground brighter by a factor of its local place.</summary>
    public void Brighten(Func<Vector3D, float> factor)
    {
        for (int at = 0; at < Geometry.Captures.Count; at += 2)
        {
            PlacedCapture capture = Geometry.Captures[at];
            foreach (BandGeometry band in Geometry.Bands)
            {
                SightedFrame frame = Geometry.FrameOf(capture, band);
                float[] pixels = frames[capture.CaptureId + band.Band];
                for (int pixel = 0; pixel < pixels.Length; pixel++)
                {
                    PixelPoint place = new((pixel % band.Lens.Columns) + 0.5, (pixel / band.Lens.Columns) + 0.5);
                    Vector3D ray = frame.Pose.ToLocalDirection(band.Lens.RayOf(place));
                    if (field.TryHit(frame.Pose.CentreLocalMetres, ray, 0, 500, out double distance))
                    {
                        pixels[pixel] *= factor(frame.Pose.CentreLocalMetres + (ray * distance));
                    }
                }
            }
        }
    }

    public MappingInput InputTo(string folder) =>
        new(Geometry, this, Surface, Grid, MapFiles.In(folder))
        {
            TowardsSunLocal = [.. Geometry.Captures.Select(_ => TowardsSunLocal)],
        };

    /// <summary>Reflectance of a place, smooth: waves of 2.5 m and more.</summary>
    public static double Texture(int band, double east, double north) =>
        0.2
        + (0.15 * band)
        + (0.06 * Math.Sin((east * 2.1) + (north * 0.6) + band))
        + (0.05 * Math.Cos((east * -0.4) + (north * 1.7)));

    /// <summary>Steepest change of the texture along any direction, per metre.</summary>
    public static double TextureSlope(int band, double east, double north)
    {
        const double step = 0.01;
        double alongEast = (Texture(band, east + step, north) - Texture(band, east - step, north)) / (2 * step);
        double alongNorth = (Texture(band, east, north + step) - Texture(band, east, north - step)) / (2 * step);
        return Math.Sqrt((alongEast * alongEast) + (alongNorth * alongNorth));
    }

    /// <summary>Local place of the surface at a map cell.</summary>
    public Vector3D LocalOf(int row, int column)
    {
        GridPoint point = Grid.CentreOf(row, column);
        double height =
            BaseHeightMetres
            + heightOf(point.EastingMetres - Middle.EastingMetres, point.NorthingMetres - Middle.NorthingMetres);
        return Geometry.Frame.ToLocal(Grid.ReferenceSystem.ToWgs84(point).AtHeightAboveEllipsoid(height));
    }

    /// <summary>Whether Sight's ray caster finds the surface free between a place lifted a little and a camera or the sun.</summary>
    public bool IsFree(Vector3D fromLocal, Vector3D direction, double liftMetres) =>
        !field.TryHit(fromLocal + new Vector3D(0, 0, liftMetres), direction, 0, 1, out _);

    private Raster<float> MakeSurface(ReferenceSystem system, double half)
    {
        int side = (int)(2 * half / PostMetres);
        GridGeometry grid = new(
            system,
            new GridPoint(Middle.EastingMetres - half, Middle.NorthingMetres + half),
            PostMetres,
            side,
            side
        );
        Raster<float> raster = new(
            RasterLabel.OfOneBand(grid, "height", "metre") with
            {
                Heights = VerticalReference.Ellipsoid,
            }
        );
        for (int row = 0; row < side; row++)
        {
            Span<float> line = raster.Row(0, row);
            for (int column = 0; column < side; column++)
            {
                GridPoint point = grid.CentreOf(row, column);
                line[column] = (float)(
                    BaseHeightMetres
                    + heightOf(point.EastingMetres - Middle.EastingMetres, point.NorthingMetres - Middle.NorthingMetres)
                );
            }
        }

        return raster;
    }

    private SurveyGeometry MakeGeometry(LocalFrame frame, int lines, double spacing, ulong seed)
    {
        SplittableRandom random = new(seed);
        BandGeometry[] bands =
        [
            new(
                "red",
                new BrownConradyLens(
                    270,
                    360,
                    new BrownConradyValues(320, 320, new PixelPoint(182, 133), -0.09, 0.12, 0.0003, -0.0004)
                ),
                CameraMount.Reference
            ),
            new(
                "nir",
                new BrownConradyLens(
                    270,
                    360,
                    new BrownConradyValues(324, 323, new PixelPoint(177, 137), -0.11, 0.1, -0.0002, 0.0003)
                ),
                CameraMount.FromRotationVector(new Vector3D(0.006, -0.009, 0.012), new Vector3D(0.04, 0.03, 0.002))
            ),
        ];
        List<PlacedCapture> captures = [];
        for (int line = 0; line < lines; line++)
        {
            for (int step = 0; step < lines; step++)
            {
                double east = (step - ((lines - 1) / 2.0)) * spacing;
                double north = (line - ((lines - 1) / 2.0)) * spacing;
                Attitude attitude = Attitude.FromDegrees(
                    line % 2 == 0 ? 92 : 268,
                    3 * random.NextGaussian(),
                    3 * random.NextGaussian()
                );
                CameraPose pose = CameraPose.FromAttitude(new Vector3D(east, north, FlightHeightMetres), attitude);
                captures.Add(new PlacedCapture($"c{captures.Count:D3}", pose, 0.01, 0.0001, Placed: true));
            }
        }

        return new SurveyGeometry(frame, bands, captures);
    }

    private void Render(PlacedCapture capture, int band)
    {
        BandGeometry of = Geometry.Bands[band];
        SightedFrame frame = Geometry.FrameOf(capture, of);
        float[] pixels = new float[of.Lens.Rows * of.Lens.Columns];
        Array.Fill(pixels, float.NaN);
        for (int row = 0; row < of.Lens.Rows; row++)
        {
            for (int column = 0; column < of.Lens.Columns; column++)
            {
                Vector3D ray = frame.Pose.ToLocalDirection(of.Lens.RayOf(new PixelPoint(column + 0.5, row + 0.5)));
                if (field.TryHit(frame.Pose.CentreLocalMetres, ray, 0, 500, out double distance))
                {
                    GeodeticPosition place = Geometry.Frame.ToGeodetic(frame.Pose.CentreLocalMetres + (ray * distance));
                    GridPoint point = Grid.ReferenceSystem.ToGrid(new GeographicPoint(place.Latitude, place.Longitude));
                    pixels[(row * of.Lens.Columns) + column] = (float)Texture(
                        band,
                        point.EastingMetres - Middle.EastingMetres,
                        point.NorthingMetres - Middle.NorthingMetres
                    );
                }
            }
        }

        lock (frames)
        {
            frames[capture.CaptureId + of.Band] = pixels;
        }
    }
}
