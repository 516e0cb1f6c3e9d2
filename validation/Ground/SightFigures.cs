using System.Diagnostics;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Validation.Ground;

/// <summary>How long it takes to know who sees what: 1,000 captures over 200 ha of steep ground at 1 m cells.</summary>
public sealed class SightFigures : FigureSource
{
    private const double CellMetres = 1;
    private const int Side = 1415; // 1415 m × 1415 m = 200 ha
    private const int Captures = 1000;

    public override string Area => "ground";

    public override int Order => 20;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        HeightField ground = SteepGround();
        BrownConradyLens lens = new(
            1152,
            1536,
            new BrownConradyValues(1650, 1650, new PixelPoint(771, 569), -0.09, 0.12, 0.0003, -0.0004)
        );
        SplittableRandom random = new(run.DrawnSeed);
        SightedFrame[] frames = new SightedFrame[Captures];
        for (int at = 0; at < Captures; at++)
        {
            double east = random.NextDouble(20, Side - 20);
            double north = -random.NextDouble(20, Side - 20);
            Attitude attitude = Attitude.FromDegrees(
                random.NextDouble(0, 360),
                4 * random.NextGaussian(),
                4 * random.NextGaussian()
            );
            frames[at] = new SightedFrame(
                CameraPose.FromAttitude(new Vector3D(east, north, ground.HeightAt(east, north) + 100), attitude),
                lens
            );
        }

        Stopwatch clock = Stopwatch.StartNew();
        CoverageMap map = CoverageMap.Count(
            frames,
            ground,
            new LocalGrid(0, 0, CellMetres, Side, Side),
            Environment.ProcessorCount
        );
        double seconds = clock.Elapsed.TotalSeconds;
        double mean = map.Counts.Average(count => (double)count);
        yield return new Figure(
            "sight.secondsFor1000CapturesOver200Hectares",
            seconds,
            FormattableString.Invariant(
                $"{Captures} captures at 100 m over {Side} × {Side} cells of 1 m, line of sight cast for each sight, mean {mean:F1} sights a cell, {Environment.ProcessorCount} threads"
            )
        );
    }

    private static HeightField SteepGround()
    {
        float[] posts = new float[(Side + 1) * (Side + 1)];
        for (int row = 0; row <= Side; row++)
        {
            for (int column = 0; column <= Side; column++)
            {
                double x = column * CellMetres;
                double y = row * CellMetres;
                posts[(row * (Side + 1)) + column] = (float)(
                    (0.25 * x) + (40 * Math.Sin(x / 130) * Math.Cos(y / 170)) + (2 * Math.Sin((x + y) / 9))
                );
            }
        }

        return new HeightField(0, 0, CellMetres, Side + 1, Side + 1, posts);
    }
}
