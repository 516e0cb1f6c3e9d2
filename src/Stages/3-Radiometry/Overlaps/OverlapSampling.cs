using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Radiometry;

/// <summary>Reads every frame once and takes the mean of a window at each of a grid of places on the ground.</summary>
internal static class OverlapSampling
{
    /// <summary>Places across a frame: near enough to see clouds' edges, far enough to keep few.</summary>
    private const int PlacesAcross = 26;

    /// <summary>Half a window's edge over the distance of places: wide enough that a leaf's parallax does not matter.</summary>
    private const double HalfWindowShare = 0.42;

    /// <summary>A window with fewer usable pixels is no look.</summary>
    private const double LeastUsable = 0.8;

    public static (IReadOnlyList<CaptureLooks> Captures, int Places, double SpacingMetres) Take(
        OverlapInput input,
        int threads,
        IProgress<WorkProgress>? progress,
        CancellationToken cancel
    )
    {
        SurveyGeometry geometry = input.Geometry;
        Dictionary<string, Capture> byId = input.Captures.ToDictionary(capture => capture.Id);
        PlacedCapture[] placed =
        [
            .. geometry.Captures.Where(capture => capture.Placed && byId.ContainsKey(capture.CaptureId)),
        ];
        if (placed.Length == 0)
        {
            return ([], 0, 0);
        }

        double height = Median(placed.Select(capture => CaptureSurroundings.HeightAbove(input.Surface, capture.Pose)));
        SightedFrame any = geometry.FrameOf(placed[0], geometry.Bands[0]);
        double gsd = height * any.PixelAngleRadians;
        double spacing = gsd * any.Lens.Columns / PlacesAcross;
        PlaceGrid grid = PlaceGrid.Over(input.Surface, placed, spacing, height);
        CaptureLooks?[] found = new CaptureLooks?[placed.Length];
        int done = 0;
        GarbageLimit garbage = new();
        Parallel.For(
            0,
            placed.Length,
            new ParallelOptions { MaxDegreeOfParallelism = threads, CancellationToken = cancel },
            () => new float[]?[input.Frames.Bands.Count],
            (index, _, room) =>
            {
                found[index] = Of(input, byId[placed[index].CaptureId], placed[index], grid, room);
                garbage.Hold();
                progress?.Report(
                    new WorkProgress("comparing captures", 0.8 * Interlocked.Increment(ref done) / placed.Length)
                );
                return room;
            },
            _ => { }
        );
        return ([.. found.OfType<CaptureLooks>()], grid.Count, spacing);
    }

    /// <param name="input">Frames.</param>
    /// <param name="capture">Whose.</param>
    /// <param name="placed">The same.</param>
    /// <param name="grid">Places.</param>
    /// <param name="room">A frame of each band, kept from capture to capture: large frames let go of pile up unused.</param>
    private static CaptureLooks Of(
        OverlapInput input,
        Capture capture,
        PlacedCapture placed,
        PlaceGrid grid,
        float[]?[] room
    )
    {
        SurveyGeometry geometry = input.Geometry;
        IReadOnlyList<string> bands = input.Frames.Bands;
        double height = CaptureSurroundings.HeightAbove(input.Surface, placed.Pose);
        Vector3D sun = CaptureSurroundings.SunAt(geometry, placed, capture);
        Dictionary<int, OverlapLook> looks = [];
        double[] means = new double[bands.Count];
        (double, double)?[] beam = new (double, double)?[bands.Count];
        float[][] pictures = new float[bands.Count][];
        int smallest = int.MaxValue;
        for (int band = 0; band < bands.Count; band++)
        {
            means[band] = double.NaN;
            if (!input.Frames.Has(capture.Id, bands[band]))
            {
                continue;
            }

            SightedFrame frame = geometry.FrameOf(placed, geometry.BandOf(bands[band]));
            (int rows, int columns) = (frame.Lens.Rows, frame.Lens.Columns);
            float[] picture = room[band]?.Length == rows * columns ? room[band]! : new float[rows * columns];
            room[band] = pictures[band] = picture;
            input.Frames.Load(capture.Id, bands[band], picture, []);
            means[band] = MeanOf(picture);
            beam[band] = BeamPlace(input.Surface, frame, sun);
            int half = Math.Max(2, (int)(HalfWindowShare * grid.SpacingMetres / (height * frame.PixelAngleRadians)));
            smallest = Math.Min(smallest, half);
            foreach (int place in grid.Near(placed.Pose.CentreLocalMetres))
            {
                Vector3D at = grid[place];
                if (
                    !frame.Lens.TryProject(frame.Pose.ToCamera(at), out PixelPoint pixel)
                    || !(
                        pixel.Column > half
                        && pixel.Row > half
                        && pixel.Column < columns - half
                        && pixel.Row < rows - half
                    )
                )
                {
                    continue;
                }

                float mean = WindowMean(picture, columns, (int)pixel.Row, (int)pixel.Column, half);
                if (!(mean > 0))
                {
                    continue;
                }

                if (!looks.TryGetValue(place, out OverlapLook? look))
                {
                    Vector3D view = (placed.Pose.CentreLocalMetres - at).Normalized();
                    float[] values = new float[bands.Count];
                    Array.Fill(values, float.NaN);
                    ViewAngleKernels kernels = sun.Z > 0 ? ViewAngleKernels.At(sun, view) : default;
                    looks[place] = look = new OverlapLook(place, kernels, values, new PixelPoint[bands.Count]);
                }

                look.Reflectance[band] = mean;
                look.Pixels[band] = pixel;
            }
        }

        if (input.Frames.CoverBands is { } cover)
        {
            CoverSampling.Split(
                looks.Values,
                pictures,
                [.. bands.Select(band => geometry.BandOf(band).Lens.Columns)],
                cover,
                smallest
            );
        }

        return new CaptureLooks(capture, [.. looks.Values.OrderBy(look => look.Place)], means, sun, height, beam);
    }

    /// <summary>Where the beam that met the aircraft meets the ground, in the frame: shares, beyond 0 … 1 outside it.</summary>
    private static (double, double)? BeamPlace(HeightField surface, SightedFrame frame, Vector3D sun)
    {
        if (!(sun.Z > 0.1))
        {
            return null;
        }

        Vector3D centre = frame.Pose.CentreLocalMetres;
        double distance = surface.TryHit(centre, -sun, 0.5, 2000, out double hit)
            ? hit
            : CaptureSurroundings.HeightAbove(surface, frame.Pose) / sun.Z;
        Vector3D inCamera = frame.Pose.ToCamera(centre - (sun * distance));
        if (!(inCamera.Z > 0))
        {
            return null;
        }

        // Straight lines beyond the frame: a lens model need not hold there.
        double angle = frame.PixelAngleRadians;
        double columns = frame.Lens.Columns;
        double rows = frame.Lens.Rows;
        return (0.5 + (inCamera.Y / inCamera.Z / angle / rows), 0.5 + (inCamera.X / inCamera.Z / angle / columns));
    }

    private static double MeanOf(float[] picture)
    {
        double sum = 0;
        long count = 0;
        for (int index = 0; index < picture.Length; index += 7)
        {
            if (float.IsFinite(picture[index]))
            {
                sum += picture[index];
                count++;
            }
        }

        return count == 0 ? double.NaN : sum / count;
    }

    private static float WindowMean(float[] picture, int columns, int row, int column, int half)
    {
        double sum = 0;
        int count = 0;
        for (int r = row - half; r < row + half; r++)
        {
            foreach (float value in picture.AsSpan((r * columns) + column - half, 2 * half))
            {
                if (!float.IsNaN(value))
                {
                    sum += value;
                    count++;
                }
            }
        }

        return count < LeastUsable * 4 * half * half ? float.NaN : (float)(sum / count);
    }

    private static double Median(IEnumerable<double> values)
    {
        double[] sorted = [.. values.Order()];
        return sorted[sorted.Length / 2];
    }
}
