using System.Diagnostics;
using Hillrow.Radiometry;

namespace Hillrow.Validation.Radiometry;

/// <summary>Counts to reflectance with sigma, one core: best of many short runs, a plain copy of the same bytes beside it.</summary>
public sealed class ReflectanceSpeed : FigureSource
{
    private const int Columns = 1536;
    private const int Rows = 256;
    private const int Runs = 400;

    public override string Area => "radiometry";

    public override int Order => 90;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        const int Pixels = Columns * Rows;
        ushort[] samples = new ushort[Pixels];
        float[] lens = new float[Pixels];
        float[] reflectance = new float[Pixels];
        float[] sigma = new float[Pixels];
        for (int pixel = 0; pixel < Pixels; pixel++)
        {
            samples[pixel] = (ushort)(16 * (200 + (pixel % 3700)));
            lens[pixel] = 1 + (pixel % 500 / 1000f);
        }

        // What is read and written: two bytes of count and four of lens in, eight out.
        byte[] from = new byte[7 * Pixels];
        byte[] to = new byte[7 * Pixels];
        RowScale scale = new(4, 200, 4095, 1e-4f, 0.4f, 11, 2e-4f);
        double best = double.PositiveInfinity;
        double copy = double.PositiveInfinity;
        for (int time = 0; time < Runs; time++)
        {
            long start = Stopwatch.GetTimestamp();
            for (int row = 0; row < Rows; row++)
            {
                int at = row * Columns;
                ReflectanceKernel.Row(
                    samples.AsSpan(at, Columns),
                    lens.AsSpan(at, Columns),
                    scale,
                    reflectance.AsSpan(at, Columns),
                    sigma.AsSpan(at, Columns)
                );
            }

            long middle = Stopwatch.GetTimestamp();
            from.AsSpan().CopyTo(to);
            long end = Stopwatch.GetTimestamp();
            best = Math.Min(best, (middle - start) / (double)Stopwatch.Frequency);
            copy = Math.Min(copy, (end - middle) / (double)Stopwatch.Frequency);
        }

        yield return new Figure(
            "speed.megapixelBandsPerSecond",
            Pixels / best / 1e6,
            FormattableString.Invariant(
                $"one core, best of {Runs}; {best / copy:F1} times a plain copy of as many bytes ({14 * Pixels / copy / 1e9:F1} GB/s read and written)"
            )
        );
    }
}
