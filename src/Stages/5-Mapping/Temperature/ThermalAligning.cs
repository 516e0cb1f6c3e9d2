using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Mapping;

/// <summary>How well a thermal band was laid on the map.</summary>
/// <param name="Band">Lens and mount as found; those given where nothing was found.</param>
/// <param name="Ties">Blocks of frames that were found on the map.</param>
/// <param name="RmsPixels">What they are off by after, thermal pixels.</param>
/// <param name="MovedPixels">How far the frame's middle moved.</param>
/// <param name="Found">Whether enough blocks were found.</param>
public sealed record ThermalAlignment(BandGeometry Band, int Ties, double RmsPixels, double MovedPixels, bool Found);

/// <summary>
/// Turns a thermal band's lens until its frames lie on the map: dark red means foliage and shade, which are cool, bright red
/// means soil in the sun, which is hot. Blocks of a frame are searched for in what the map tells it should look like.
/// </summary>
public static class ThermalAligning
{
    /// <summary>Captures looked at, spread over the survey.</summary>
    private const int MostCaptures = 16;

    private const int HalfBlock = 14;
    private const int BlockStep = 20;
    private const double LeastCorrelation = 0.5;
    private const int LeastTies = 30;

    /// <summary>Standard deviations of turn (radians), focal length (relative) and second radial term before looking; common practice, no source.</summary>
    private static readonly double[] PriorSigmas = [0.02, 0.02, 0.02, 0.02, 0.03];

    /// <summary>Pixels searched around the expected place, round after round.</summary>
    private static readonly int[] Searches = [9, 4, 3];

    /// <param name="geometry">Of the survey.</param>
    /// <param name="frames">Brightness temperature; one band.</param>
    /// <param name="map">Reflectance on a map grid.</param>
    /// <param name="red">Its band that soil is bright in.</param>
    /// <param name="surface">Heights above the ellipsoid.</param>
    /// <param name="threads">The result does not depend on it.</param>
    /// <param name="cancel">Asked between captures.</param>
    public static ThermalAlignment Align(
        SurveyGeometry geometry,
        IReflectanceFrames frames,
        RasterFile map,
        int red,
        Raster<float> surface,
        int threads,
        CancellationToken cancel = default
    )
    {
        ArgumentNullException.ThrowIfNull(geometry);
        ArgumentNullException.ThrowIfNull(frames);
        ArgumentNullException.ThrowIfNull(map);
        ArgumentNullException.ThrowIfNull(surface);
        BandGeometry band = geometry.BandOf(frames.Bands[0]);
        PlacedCapture[] usable =
        [
            .. geometry.Captures.Where(capture => capture.Placed && frames.Has(capture.CaptureId, band.Band)),
        ];
        int many = Math.Min(MostCaptures, usable.Length);
        PlacedCapture[] looked =
        [
            .. Enumerable.Range(0, many).Select(at => usable[(int)((at + 0.5) * usable.Length / many)]),
        ];
        float[][] pictures = new float[many][];
        double[] values = new double[PriorSigmas.Length];
        double rms = double.NaN;
        int ties = 0;
        foreach (int search in Searches)
        {
            BandGeometry now = Turned(band, values);
            List<(PixelPoint From, double Columns, double Rows)>[] found = new List<(PixelPoint, double, double)>[many];
            Parallel.For(
                0,
                many,
                new ParallelOptions { MaxDegreeOfParallelism = Math.Max(1, threads), CancellationToken = cancel },
                at =>
                {
                    if (pictures[at] is null)
                    {
                        pictures[at] = new float[band.Lens.Rows * band.Lens.Columns];
                        frames.Load(looked[at].CaptureId, band.Band, pictures[at], []);
                    }

                    float[] expected = ExpectedFrame.Of(geometry, looked[at], now, map, red, surface);
                    found[at] = Blocks(expected, pictures[at], now.Lens, search);
                }
            );
            (PixelPoint From, double Columns, double Rows)[] all = [.. found.SelectMany(list => list)];
            if (all.Length < LeastTies)
            {
                return new ThermalAlignment(band, all.Length, double.NaN, 0, false);
            }

            ties = all.Length;
            rms = Fit(band, now.Lens, all, values);
        }

        BandGeometry turned = Turned(band, values);
        PixelPoint middle = new(band.Lens.Columns / 2.0, band.Lens.Rows / 2.0);
        double moved = Place(band, band.Lens.RayOf(middle), values) is { } to
            ? double.Hypot(to.Column - middle.Column, to.Row - middle.Row)
            : double.NaN;
        return new ThermalAlignment(turned, ties, rms, moved, true);
    }

    private static BandGeometry Turned(BandGeometry band, double[] values)
    {
        double[] lens = [.. band.Lens.Parameters];
        lens[0] *= 1 + values[3];
        lens[1] *= 1 + values[3];
        int radial = band.Lens.ParameterNames.ToList().IndexOf("k1");
        if (radial >= 0)
        {
            lens[radial] += values[4];
        }

        return band with
        {
            Lens = band.Lens.WithParameters(lens),
            Mount = band.Mount with
            {
                ReferenceToBand =
                    Matrix3D.FromRotationVector(new Vector3D(values[0], values[1], values[2]))
                    * band.Mount.ReferenceToBand,
            },
        };
    }

    private static PixelPoint? Place(BandGeometry band, Vector3D ray, double[] values)
    {
        BandGeometry turned = Turned(band, values);
        Vector3D seen = Matrix3D.FromRotationVector(new Vector3D(values[0], values[1], values[2])) * ray;
        return turned.Lens.TryProject(seen, out PixelPoint pixel) ? pixel : null;
    }

    /// <summary>Gauss–Newton with Cauchy's weights; the values are changed in place; returns the robust rms in pixels.</summary>
    private static double Fit(
        BandGeometry band,
        Lens now,
        (PixelPoint From, double Columns, double Rows)[] ties,
        double[] values
    )
    {
        const double Loss = 0.5;
        Vector3D[] rays = new Vector3D[ties.Length];
        Matrix3D back = Matrix3D.FromRotationVector(new Vector3D(values[0], values[1], values[2])).Transposed();
        for (int tie = 0; tie < ties.Length; tie++)
        {
            rays[tie] = back * now.RayOf(ties[tie].From);
        }

        PixelPoint[] seen =
        [
            .. ties.Select(tie => new PixelPoint(tie.From.Column + tie.Columns, tie.From.Row + tie.Rows)),
        ];
        int size = values.Length;
        double[] offs = [];
        for (int round = 0; round < 15; round++)
        {
            PixelPoint[] at = Places(band, rays, values);
            PixelPoint[][] moved = new PixelPoint[size][];
            for (int value = 0; value < size; value++)
            {
                double[] more = [.. values];
                more[value] += 1e-5;
                moved[value] = Places(band, rays, more);
            }

            double[] normal = new double[size * size];
            double[] right = new double[size];
            for (int value = 0; value < size; value++)
            {
                double weight = 1 / (PriorSigmas[value] * PriorSigmas[value]);
                normal[(value * size) + value] = weight;
                right[value] = -weight * values[value];
            }

            offs = new double[ties.Length];
            for (int tie = 0; tie < ties.Length; tie++)
            {
                double across = seen[tie].Column - at[tie].Column;
                double down = seen[tie].Row - at[tie].Row;
                offs[tie] = double.Hypot(across, down);
                double weight = 1 / (1 + (offs[tie] * offs[tie] / (Loss * Loss))) / (Loss * Loss);
                for (int i = 0; i < size; i++)
                {
                    double columnBy = (moved[i][tie].Column - at[tie].Column) / 1e-5;
                    double rowBy = (moved[i][tie].Row - at[tie].Row) / 1e-5;
                    right[i] += weight * ((columnBy * across) + (rowBy * down));
                    for (int j = 0; j < size; j++)
                    {
                        normal[(i * size) + j] +=
                            weight
                            * (
                                (columnBy * (moved[j][tie].Column - at[tie].Column) / 1e-5)
                                + (rowBy * (moved[j][tie].Row - at[tie].Row) / 1e-5)
                            );
                    }
                }
            }

            if (!Numerics.Linear.DenseCholesky.Factor(normal, size))
            {
                break;
            }

            Numerics.Linear.DenseCholesky.Solve(normal, size, right);
            for (int value = 0; value < size; value++)
            {
                values[value] += right[value];
            }
        }

        Array.Sort(offs);
        // Of two normal coordinates, the median distance is 1.18 of their deviation, the rms 1.41.
        return offs[offs.Length / 2] * Math.Sqrt(2) / 1.1774;
    }

    private static PixelPoint[] Places(BandGeometry band, Vector3D[] rays, double[] values)
    {
        Lens lens = Turned(band, values).Lens;
        Matrix3D turn = Matrix3D.FromRotationVector(new Vector3D(values[0], values[1], values[2]));
        return [.. rays.Select(ray => lens.TryProject(turn * ray, out PixelPoint pixel) ? pixel : default)];
    }

    private static List<(PixelPoint From, double Columns, double Rows)> Blocks(
        float[] expected,
        float[] seen,
        Lens lens,
        int search
    )
    {
        List<(PixelPoint, double, double)> ties = [];
        for (int row = HalfBlock + search; row < lens.Rows - HalfBlock - search; row += BlockStep)
        {
            for (int column = HalfBlock + search; column < lens.Columns - HalfBlock - search; column += BlockStep)
            {
                if (BlockMatch.Find(expected, seen, lens.Columns, row, column, HalfBlock, search) is not { } match)
                {
                    continue;
                }

                if (match.Likeness >= LeastCorrelation)
                {
                    ties.Add((new PixelPoint(column + 0.5, row + 0.5), match.Columns, match.Rows));
                }
            }
        }

        return ties;
    }
}
