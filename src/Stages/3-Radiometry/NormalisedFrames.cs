using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Radiometry;

/// <summary>
/// Frames as they would look straight from above under a reference sun: what flights at different times of day are
/// compared on. Canopy and open ground each have their own change with angle taken off, mixed by each pixel's cover.
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
    private readonly Dictionary<string, ViewAngleModel> angles;
    private readonly double heightMetres;
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
        angles = light.Angles.ToDictionary(model => model.Band);
        heightMetres = light.HeightMetres;
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
        places.ContainsKey(captureId) && angles.ContainsKey(band);

    public void Load(string captureId, string band, Span<float> reflectance, Span<float> sigma)
    {
        frames.Load(captureId, band, reflectance, sigma);
        Normalise(captureId, band, reflectance, sigma);
    }

    public (int Red, int Infrared)? CoverBands => frames.CoverBands;

    public CoverFactors FactorsAt(string captureId, string band, PixelPoint pixel) =>
        places.TryGetValue(captureId, out var place) && angles.TryGetValue(band, out ViewAngleModel? angle)
            ? FactorsAt(geometry.FrameOf(place.Placed, geometry.BandOf(band)), place.Sun, angle, pixel)
            : CoverFactors.One;

    /// <summary>Takes the angles off a frame that is there already.</summary>
    /// <remarks>Reads the capture's red and near infrared frames for each pixel's cover.</remarks>
    /// <param name="captureId">Of the frame.</param>
    /// <param name="band">Of the frame.</param>
    /// <param name="reflectance">Rows × Columns at the capture's own angles; changed.</param>
    /// <param name="sigma">The same, or empty.</param>
    public void Normalise(string captureId, string band, Span<float> reflectance, Span<float> sigma)
    {
        if (!places.TryGetValue(captureId, out var place) || !angles.TryGetValue(band, out ViewAngleModel? angle))
        {
            return;
        }

        SightedFrame frame = geometry.FrameOf(place.Placed, geometry.BandOf(band));
        (int rows, int columns) = (frame.Lens.Rows, frame.Lens.Columns);
        int stopColumns = (columns / Stride) + 2;
        CoverFactors[] factors = new CoverFactors[((rows / Stride) + 2) * stopColumns];
        for (int stop = 0; stop < factors.Length; stop++)
        {
            PixelPoint pixel = new(
                Math.Min(columns, stop % stopColumns * Stride),
                Math.Min(rows, stop / stopColumns * Stride)
            );
            factors[stop] = FactorsAt(frame, place.Sun, angle, pixel);
        }

        FrameCover? cover = CoverOf(place.Placed, frame);
        for (int row = 0; row < rows; row++)
        {
            int top = row / Stride * stopColumns;
            double down = ((row % Stride) + 0.5) / Stride;
            for (int column = 0; column < columns; column++)
            {
                int at = top + (column / Stride);
                double across = ((column % Stride) + 0.5) / Stride;
                double share = cover?.At(row, column) ?? CoverShare.Unknown;
                double high = (factors[at].At(share) * (1 - across)) + (factors[at + 1].At(share) * across);
                double low =
                    (factors[at + stopColumns].At(share) * (1 - across))
                    + (factors[at + stopColumns + 1].At(share) * across);
                float factor = (float)(high + ((low - high) * down));
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

    private FrameCover? CoverOf(PlacedCapture placed, SightedFrame frame)
    {
        if (CoverBands is not { } bands)
        {
            return null;
        }

        (string red, string infrared) = (Bands[bands.Red], Bands[bands.Infrared]);
        return Has(placed.CaptureId, red) && Has(placed.CaptureId, infrared)
            ? new FrameCover(
                frame,
                geometry.FrameOf(placed, geometry.BandOf(red)),
                Loaded(red),
                geometry.FrameOf(placed, geometry.BandOf(infrared)),
                Loaded(infrared),
                heightMetres
            )
            : null;

        float[] Loaded(string band)
        {
            BandGeometry of = geometry.BandOf(band);
            float[] picture = new float[of.Lens.Rows * of.Lens.Columns];
            frames.Load(placed.CaptureId, band, picture, []);
            return picture;
        }
    }

    private static CoverFactors FactorsAt(SightedFrame frame, Vector3D sun, ViewAngleModel angle, PixelPoint pixel)
    {
        if (
            !(sun.Z > 0)
            || !frame.Lens.TryRayOf(pixel, out Vector3D ray)
            || frame.Pose.ToLocalDirection(ray) is not { Z: < 0 } seen
        )
        {
            return CoverFactors.One;
        }

        ViewAngleKernels here = ViewAngleKernels.At(sun, -seen);
        ViewAngleKernels reference = Reference();
        return new CoverFactors(
            Math.Exp(angle.Canopy.Of(reference) - angle.Canopy.Of(here)),
            Math.Exp(angle.Soil.Of(reference) - angle.Soil.Of(here))
        );
    }

    /// <summary>Straight from above; the sun's azimuth does not matter then.</summary>
    private static ViewAngleKernels Reference()
    {
        (double sine, double cosine) = Math.SinCos(ReferenceSunZenithDegrees * Math.PI / 180);
        return ViewAngleKernels.At(new Vector3D(sine, 0, cosine), new Vector3D(0, 0, 1));
    }
}
