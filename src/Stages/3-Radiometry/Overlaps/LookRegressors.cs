using Hillrow.Imaging;

namespace Hillrow.Radiometry;

/// <summary>What all captures share and a look depends on: change with angle of canopy and of soil, and the lens.</summary>
internal static class LookRegressors
{
    /// <summary>Three canopy and three soil kernels, then the lens: r², r⁴, across, down.</summary>
    public const int Count = 10;
    public const int Lens = 6;

    /// <param name="shared">Receives the first <see cref="Count"/> values.</param>
    /// <param name="green">1 canopy … 0 bare.</param>
    /// <param name="kernels">Of the look.</param>
    /// <param name="pixel">Of the look.</param>
    /// <param name="sensor">Of the band.</param>
    public static void Fill(
        Span<float> shared,
        float green,
        ViewAngleKernels kernels,
        PixelPoint pixel,
        BandSensor sensor
    )
    {
        (double wide, double tall) = (sensor.Columns, sensor.Rows);
        double across = (2 * pixel.Column / wide) - 1;
        double down = (2 * pixel.Row / tall) - 1;
        double square =
            ((across * across * wide * wide) + (down * down * tall * tall)) / ((wide * wide) + (tall * tall));
        shared[0] = green * (float)kernels.Volume;
        shared[1] = green * (float)kernels.Geometry;
        shared[2] = green * (float)kernels.Slant;
        shared[3] = (1 - green) * (float)kernels.Volume;
        shared[4] = (1 - green) * (float)kernels.Geometry;
        shared[5] = (1 - green) * (float)kernels.Slant;
        shared[Lens] = (float)square;
        shared[Lens + 1] = (float)(square * square);
        shared[Lens + 2] = (float)across;
        shared[Lens + 3] = (float)down;
    }

    public static void AddPriors(GainProblem problem, double falloffSigma, OverlapSettings settings)
    {
        double[] sigmas =
        [
            settings.VolumeSigma,
            settings.GeometrySigma,
            settings.SlantSigma,
            settings.VolumeSigma,
            settings.GeometrySigma,
            settings.SlantSigma,
            falloffSigma,
            falloffSigma,
            settings.LensTiltSigma,
            settings.LensTiltSigma,
        ];
        for (int index = 0; index < sigmas.Length; index++)
        {
            problem.Add(GainPrior.Of(problem.SharedStart + index, 0, sigmas[index]));
        }
    }

    public static double FalloffSigma(CameraBand band, OverlapSettings settings) =>
        band.Vignetting == Vignetting.None ? settings.UnknownFalloffSigma : settings.FalloffSigma;
}
