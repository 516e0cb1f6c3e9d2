using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Radiometry;

/// <summary>What the drift of a thermal sensor is found from.</summary>
/// <param name="Profile">With a thermal band.</param>
/// <param name="Captures">Of the survey.</param>
/// <param name="Frames">Without drift taken off.</param>
/// <param name="Geometry">With the thermal band's own lens and mount.</param>
/// <param name="Surface">Local heights.</param>
public sealed record ThermalInput(
    CameraProfile Profile,
    IReadOnlyList<Capture> Captures,
    BrightnessFrames Frames,
    SurveyGeometry Geometry,
    HeightField Surface
);

/// <summary>Finds a thermal sensor's drift and pattern: captures that see the same ground must agree on how warm it is.</summary>
/// <remarks>
/// The idea of correcting drift by overlaps: F. J. Mesas-Carrascosa et al. 2018, doi 10.3390/rs10040615; the joint solution
/// is our own. The flight's level is not told by overlaps and keeps the profile's accuracy.
/// </remarks>
public static class ThermalComparing
{
    private const int PlacesAcross = 26;
    private const double HalfWindowShare = 0.42;

    /// <returns>Null when no two captures see the same ground.</returns>
    public static ThermalDrift? Find(ThermalInput input, int threads, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(input);
        Dictionary<string, Capture> byId = input.Captures.ToDictionary(capture => capture.Id);
        PlacedCapture[] placed =
        [
            .. input
                .Geometry.Captures.Where(capture =>
                    capture.Placed
                    && byId.ContainsKey(capture.CaptureId)
                    && input.Frames.Has(capture.CaptureId, input.Frames.Bands[0])
                )
                .OrderBy(capture => byId[capture.CaptureId].TimeUtc),
        ];
        if (placed.Length < 2)
        {
            return null;
        }

        BandGeometry band = input.Geometry.BandOf(input.Frames.Bands[0]);
        double[] heights =
        [
            .. placed.Select(capture => CaptureSurroundings.HeightAbove(input.Surface, capture.Pose)).Order(),
        ];
        double height = heights[heights.Length / 2];
        SightedFrame any = input.Geometry.FrameOf(placed[0], band);
        double spacing = height * any.PixelAngleRadians * any.Lens.Columns / PlacesAcross;
        PlaceGrid grid = PlaceGrid.Over(input.Surface, placed, spacing, height);
        List<ThermalLook>[] found = new List<ThermalLook>[placed.Length];
        Parallel.For(
            0,
            placed.Length,
            new ParallelOptions { MaxDegreeOfParallelism = Math.Max(1, threads), CancellationToken = cancel },
            at => found[at] = Looks(input, band, placed[at], byId[placed[at].CaptureId], at, grid, height)
        );
        List<ThermalLook>[] ofPlace = new List<ThermalLook>[grid.Count];
        foreach (ThermalLook look in found.SelectMany(list => list))
        {
            (ofPlace[look.Place] ??= []).Add(look);
        }

        List<ThermalLook> looks = [];
        int places = 0;
        foreach (List<ThermalLook>? same in ofPlace)
        {
            if (same is { Count: > 1 })
            {
                looks.AddRange(same.Select(look => look with { Place = places }));
                places++;
            }
        }

        if (places == 0)
        {
            return null;
        }

        DateTimeOffset first = byId[placed[0].CaptureId].TimeUtc ?? default;
        double accuracy = input.Profile.ThermalBand?.Thermal?.AccuracyKelvin ?? ThermalScale.UsualAccuracyKelvin;
        DriftSolution solution = new DriftSolver(
            new DriftProblem(
                looks,
                places,
                [
                    .. placed.Select(
                        (capture, at) =>
                            byId[capture.CaptureId].TimeUtc is { } time ? (time - first).TotalSeconds : 2.0 * at
                    ),
                ],
                accuracy
            )
        ).Solve();
        return new ThermalDrift(
            [
                .. placed.Select(
                    (capture, at) =>
                        new CaptureDrift(capture.CaptureId, solution.Offsets[at], solution.OffsetSigmas[at])
                ),
            ],
            solution.Pattern,
            solution.PatternSigma,
            solution.LevelSigma,
            solution.Before,
            solution.After,
            looks.Count
        );
    }

    private static List<ThermalLook> Looks(
        ThermalInput input,
        BandGeometry band,
        PlacedCapture placed,
        Capture capture,
        int at,
        PlaceGrid grid,
        double height
    )
    {
        SightedFrame frame = input.Geometry.FrameOf(placed, band);
        (int rows, int columns) = (frame.Lens.Rows, frame.Lens.Columns);
        float[] kelvin = new float[rows * columns];
        input.Frames.Load(placed.CaptureId, band.Band, kelvin, []);
        int half = Math.Max(1, (int)(HalfWindowShare * grid.SpacingMetres / (height * frame.PixelAngleRadians)));
        Vector3D sun = CaptureSurroundings.SunAt(input.Geometry, placed, capture);
        double level = Math.Sqrt((sun.X * sun.X) + (sun.Y * sun.Y));
        List<ThermalLook> looks = [];
        foreach (int place in grid.Near(placed.Pose.CentreLocalMetres))
        {
            Vector3D ground = grid[place];
            if (
                !frame.Lens.TryProject(frame.Pose.ToCamera(ground), out PixelPoint pixel)
                || !(
                    pixel.Column > half && pixel.Row > half && pixel.Column < columns - half && pixel.Row < rows - half
                )
            )
            {
                continue;
            }

            double mean = Mean(kelvin, columns, (int)pixel.Row, (int)pixel.Column, half);
            Vector3D view = placed.Pose.CentreLocalMetres - ground;
            if (double.IsNaN(mean) || !(view.Z > 0))
            {
                continue;
            }

            double east = view.X / view.Z;
            double north = view.Y / view.Z;
            looks.Add(
                new ThermalLook(
                    place,
                    at,
                    mean,
                    pixel.Row / rows,
                    pixel.Column / columns,
                    level > 0 ? ((east * sun.X) + (north * sun.Y)) / level : 0,
                    level > 0 ? ((north * sun.X) - (east * sun.Y)) / level : 0
                )
            );
        }

        return looks;
    }

    private static double Mean(float[] kelvin, int columns, int row, int column, int half)
    {
        double sum = 0;
        for (int r = row - half; r < row + half; r++)
        {
            foreach (float value in kelvin.AsSpan((r * columns) + column - half, 2 * half))
            {
                sum += value;
            }
        }

        return sum / (4 * half * half);
    }
}
