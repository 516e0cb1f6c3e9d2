using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Radiometry;

/// <summary>
/// Frames as canopy would look straight from above under a reference sun: what flights at different times of day are
/// compared on. Crowns' change with angle is taken off everything; open ground keeps a little of its own.
/// </summary>
/// <remarks>Safe from many threads. A capture without place or time stays as it is, see <see cref="IsNormalised"/>.</remarks>
public sealed class NormalisedFrames : IReflectanceFrames, IFrameNormalisation
{
    /// <summary>The reference sun: half way between the highest and the lowest that flights are made under.</summary>
    public const double ReferenceSunZenithDegrees = 35;

    /// <summary>Standard error of what is taken off, as a share of it: another side of each crown is lit and seen. Own estimate.</summary>
    private const float AngleShareSigma = 0.25f;

    /// <summary>Angles are worked out at every so many pixels, and led straight between.</summary>
    private const int Stride = 32;

    private readonly ReflectanceFrames frames;
    private readonly SurveyGeometry geometry;
    private readonly Dictionary<string, ViewAngleWeights> weights;
    private readonly Dictionary<string, (PlacedCapture Placed, Vector3D Sun)> places = [];

    /// <param name="frames">Of an adjusted calibration.</param>
    /// <param name="light">Of the same.</param>
    /// <param name="geometry">Of the survey.</param>
    /// <param name="captures">Of the survey.</param>
    public NormalisedFrames(
        ReflectanceFrames frames,
        LightAdjustment light,
        SurveyGeometry geometry,
        IReadOnlyList<Capture> captures
    )
    {
        ArgumentNullException.ThrowIfNull(light);
        ArgumentNullException.ThrowIfNull(geometry);
        ArgumentNullException.ThrowIfNull(captures);
        (this.frames, this.geometry) = (frames, geometry);
        weights = light.Angles.ToDictionary(model => model.Band, model => model.Canopy);
        Dictionary<string, Capture> byId = captures.ToDictionary(capture => capture.Id);
        foreach (PlacedCapture placed in geometry.Captures.Where(capture => capture.Placed))
        {
            if (byId.GetValueOrDefault(placed.CaptureId)?.TimeUtc is { } time)
            {
                GeodeticPosition at = geometry.Frame.ToGeodetic(placed.Pose.CentreLocalMetres);
                Matrix3D turn = geometry.Frame.FromAxesAt(new GeographicPoint(at.Latitude, at.Longitude));
                places[placed.CaptureId] = (placed, turn * SunPosition.At(time, at).Direction);
            }
        }
    }

    public IReadOnlyList<string> Bands => frames.Bands;

    public double SunZenithDegrees => ReferenceSunZenithDegrees;

    public bool Has(string captureId, string band) => frames.Has(captureId, band);

    /// <summary>Whether angles of this frame are taken off.</summary>
    public bool IsNormalised(string captureId, string band) =>
        places.ContainsKey(captureId) && weights.ContainsKey(band);

    public void Load(string captureId, string band, Span<float> reflectance, Span<float> sigma)
    {
        frames.Load(captureId, band, reflectance, sigma);
        Normalise(captureId, band, reflectance, sigma);
    }

    public double FactorAt(string captureId, string band, PixelPoint pixel) =>
        places.TryGetValue(captureId, out var place) && weights.TryGetValue(band, out ViewAngleWeights? angle)
            ? FactorAt(
                geometry.FrameOf(place.Placed, geometry.BandOf(band)),
                place.Sun,
                angle,
                angle.Of(Reference()),
                pixel
            )
            : 1;

    /// <summary>Takes the angles off a frame that is there already.</summary>
    /// <param name="captureId">Of the frame.</param>
    /// <param name="band">Of the frame.</param>
    /// <param name="reflectance">Rows × Columns at the capture's own angles; changed.</param>
    /// <param name="sigma">The same, or empty.</param>
    public void Normalise(string captureId, string band, Span<float> reflectance, Span<float> sigma)
    {
        if (!places.TryGetValue(captureId, out var place) || !weights.TryGetValue(band, out ViewAngleWeights? angle))
        {
            return;
        }

        SightedFrame frame = geometry.FrameOf(place.Placed, geometry.BandOf(band));
        (int rows, int columns) = (frame.Lens.Rows, frame.Lens.Columns);
        int stopRows = (rows / Stride) + 2;
        int stopColumns = (columns / Stride) + 2;
        double reference = angle.Of(Reference());
        float[] factors = new float[stopRows * stopColumns];
        for (int stop = 0; stop < factors.Length; stop++)
        {
            PixelPoint pixel = new(
                Math.Min(columns, stop % stopColumns * Stride),
                Math.Min(rows, stop / stopColumns * Stride)
            );
            factors[stop] = (float)FactorAt(frame, place.Sun, angle, reference, pixel);
        }

        for (int row = 0; row < rows; row++)
        {
            int top = row / Stride * stopColumns;
            float down = ((row % Stride) + 0.5f) / Stride;
            for (int column = 0; column < columns; column++)
            {
                int at = top + (column / Stride);
                float across = ((column % Stride) + 0.5f) / Stride;
                float high = factors[at] + ((factors[at + 1] - factors[at]) * across);
                float low =
                    factors[at + stopColumns] + ((factors[at + stopColumns + 1] - factors[at + stopColumns]) * across);
                float factor = high + ((low - high) * down);
                ref float value = ref reflectance[(row * columns) + column];
                value *= factor;
                if (!sigma.IsEmpty)
                {
                    ref float error = ref sigma[(row * columns) + column];
                    float turned = AngleShareSigma * (factor - 1) * value;
                    error = MathF.Sqrt((error * error * factor * factor) + (turned * turned));
                }
            }
        }
    }

    private static double FactorAt(
        SightedFrame frame,
        Vector3D sun,
        ViewAngleWeights angle,
        double reference,
        PixelPoint pixel
    ) =>
        sun.Z > 0 && frame.Lens.TryRayOf(pixel, out Vector3D ray) && frame.Pose.ToLocalDirection(ray) is { Z: < 0 } seen
            ? Math.Exp(reference - angle.Of(ViewAngleKernels.At(sun, -seen)))
            : 1;

    /// <summary>Straight from above; the sun's azimuth does not matter then.</summary>
    private static ViewAngleKernels Reference()
    {
        (double sine, double cosine) = Math.SinCos(ReferenceSunZenithDegrees * Math.PI / 180);
        return ViewAngleKernels.At(new Vector3D(sine, 0, cosine), new Vector3D(0, 0, 1));
    }
}
