namespace Hillrow.Numerics.Tests.BundleAdjustment;

/// <summary>A modelled flight in strips over rolling ground, as a BAL problem with a disturbed start.</summary>
public static class BalScene
{
    private const double FocalPixels = 1200;
    private const double HalfWidthPixels = 800;
    private const double HalfHeightPixels = 600;
    private const double FlyingHeightMetres = 100;
    private const double AlongMetres = 20;
    private const double AcrossMetres = 45;

    /// <param name="seed">Same seed, same scene.</param>
    /// <param name="strips">Strips flown.</param>
    /// <param name="perStrip">Captures in each.</param>
    /// <param name="points">Ground points; those seen fewer than twice are left out.</param>
    /// <param name="seenShare">Chance that a point in the frame is found there.</param>
    /// <param name="noisePixels">Sigma of each coordinate.</param>
    public static BalProblem Create(
        ulong seed,
        int strips,
        int perStrip,
        int points,
        double seenShare,
        double noisePixels
    )
    {
        SplittableRandom random = new SplittableRandom(seed).Split("bal scene");
        double[] cameras = Cameras(random.Split("cameras"), strips, perStrip);
        Matrix3D[] rotations = new Matrix3D[strips * perStrip];
        for (int index = 0; index < rotations.Length; index++)
        {
            ReadOnlySpan<double> c = cameras.AsSpan(9 * index, 3);
            rotations[index] = Matrix3D.FromRotationVector(new Vector3D(c[0], c[1], c[2]));
        }

        SplittableRandom ground = random.Split("ground");
        SplittableRandom noise = random.Split("noise");
        List<int> camera = [];
        List<int> point = [];
        List<double> observed = [];
        List<double> kept = [];
        List<int> seen = [];
        List<double> pixels = [];
        for (int candidate = 0; candidate < points; candidate++)
        {
            double east = ground.NextDouble(0, perStrip * AlongMetres);
            double north = ground.NextDouble(0, strips * AcrossMetres);
            double up = (8 * Math.Sin(east / 60)) + (6 * Math.Cos(north / 45)) + ground.NextDouble(0, 2);
            Vector3D x = new(east, north, up);
            seen.Clear();
            pixels.Clear();
            int strip = (int)(north / AcrossMetres);
            int along = (int)(east / AlongMetres);
            for (int s = Math.Max(0, strip - 2); s <= Math.Min(strips - 1, strip + 2); s++)
            {
                for (int a = Math.Max(0, along - 5); a <= Math.Min(perStrip - 1, along + 5); a++)
                {
                    int index = (s * perStrip) + a;
                    Project(cameras.AsSpan(9 * index, 9), rotations[index], x, out double u, out double v);
                    bool inside = Math.Abs(u) < HalfWidthPixels && Math.Abs(v) < HalfHeightPixels;
                    if (inside && ground.NextDouble() < seenShare)
                    {
                        seen.Add(index);
                        pixels.Add(u + (noisePixels * noise.NextGaussian()));
                        pixels.Add(v + (noisePixels * noise.NextGaussian()));
                    }
                }
            }

            if (seen.Count < 2)
            {
                continue;
            }

            camera.AddRange(seen);
            point.AddRange(Enumerable.Repeat(kept.Count / 3, seen.Count));
            observed.AddRange(pixels);
            kept.AddRange([x.X, x.Y, x.Z]);
        }

        return Disturb(random.Split("start"), [.. camera], [.. point], [.. observed], cameras, [.. kept]);
    }

    private static double[] Cameras(SplittableRandom random, int strips, int perStrip)
    {
        double[] cameras = new double[9 * strips * perStrip];
        for (int index = 0; index < strips * perStrip; index++)
        {
            int strip = index / perStrip;
            double east = ((index % perStrip) + 0.5) * AlongMetres;
            Vector3D centre = new(
                east + random.NextGaussian(),
                ((strip + 0.5) * AcrossMetres) + random.NextGaussian(),
                FlyingHeightMetres + (2 * random.NextGaussian())
            );

            // BAL looks along −z, so a camera over the ground has hardly any rotation.
            Vector3D turn = new(
                0.06 * random.NextGaussian(),
                0.06 * random.NextGaussian(),
                (0.05 * random.NextGaussian()) + (strip % 2 == 0 ? 0 : 3.0)
            );
            Matrix3D r = Matrix3D.FromRotationVector(turn);
            Span<double> c = cameras.AsSpan(9 * index, 9);
            c[0] = turn.X;
            c[1] = turn.Y;
            c[2] = turn.Z;
            c[3] = -Vector3D.Dot(r.Row1, centre);
            c[4] = -Vector3D.Dot(r.Row2, centre);
            c[5] = -Vector3D.Dot(r.Row3, centre);
            c[6] = FocalPixels;
            c[7] = -0.08;
            c[8] = 0.02;
        }

        return cameras;
    }

    private static void Project(ReadOnlySpan<double> c, Matrix3D r, Vector3D x, out double u, out double v)
    {
        double z = -1 / (Vector3D.Dot(r.Row3, x) + c[5]);
        double px = (Vector3D.Dot(r.Row1, x) + c[3]) * z;
        double py = (Vector3D.Dot(r.Row2, x) + c[4]) * z;
        double square = (px * px) + (py * py);
        double scale = c[6] * (1 + (square * (c[7] + (square * c[8]))));
        u = scale * px;
        v = scale * py;
    }

    private static BalProblem Disturb(
        SplittableRandom random,
        int[] camera,
        int[] point,
        double[] observed,
        double[] cameras,
        double[] points
    )
    {
        ReadOnlySpan<double> sigmas = [0.005, 0.005, 0.01, 0.5, 0.5, 0.5, 10, 0.01, 0.01];
        for (int index = 0; index < cameras.Length; index++)
        {
            cameras[index] += sigmas[index % 9] * random.NextGaussian();
        }

        for (int index = 0; index < points.Length; index++)
        {
            points[index] += random.NextGaussian();
        }

        return new BalProblem
        {
            Camera = camera,
            Point = point,
            Observed = observed,
            Cameras = cameras,
            Points = points,
        };
    }
}
