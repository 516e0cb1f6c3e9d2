using System.Globalization;
using Hillrow.Numerics.LeastSquares;

namespace Hillrow.Numerics.Tests.BundleAdjustment;

/// <summary>
/// A bundle-adjustment problem in BAL text form: header, observations, cameras (rotation vector, translation, f, k1,
/// k2), points. Shared as source by the tests, the validation and the benchmarks; no part of the product.
/// </summary>
public sealed class BalProblem
{
    public required int[] Camera { get; init; }

    public required int[] Point { get; init; }

    /// <summary>Observed u, v in pixels, two per observation.</summary>
    public required double[] Observed { get; init; }

    /// <summary>Nine numbers per camera.</summary>
    public required double[] Cameras { get; init; }

    /// <summary>Three numbers per point.</summary>
    public required double[] Points { get; init; }

    public int CameraCount => Cameras.Length / 9;

    public static BalProblem Read(string path)
    {
        using StreamReader reader = new(path);
        Func<double> next = Numbers(reader);
        int cameras = (int)next();
        int points = (int)next();
        int observations = (int)next();
        int[] camera = new int[observations];
        int[] point = new int[observations];
        double[] observed = new double[2 * observations];
        for (int index = 0; index < observations; index++)
        {
            camera[index] = (int)next();
            point[index] = (int)next();
            observed[2 * index] = next();
            observed[(2 * index) + 1] = next();
        }

        return new BalProblem
        {
            Camera = camera,
            Point = point,
            Observed = observed,
            Cameras = Fill(9 * cameras, next),
            Points = Fill(3 * points, next),
        };
    }

    public void Write(string path)
    {
        using StreamWriter writer = new(path);
        writer.WriteLine(
            string.Create(CultureInfo.InvariantCulture, $"{CameraCount} {Points.Length / 3} {Camera.Length}")
        );
        for (int index = 0; index < Camera.Length; index++)
        {
            writer.WriteLine(
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"{Camera[index]} {Point[index]} {Observed[2 * index]:R} {Observed[(2 * index) + 1]:R}"
                )
            );
        }

        foreach (double value in Cameras.Concat(Points))
        {
            writer.WriteLine(value.ToString("R", CultureInfo.InvariantCulture));
        }
    }

    /// <summary>The same problem without some observations.</summary>
    public BalProblem Without(IReadOnlySet<int> left)
    {
        int[] keep = [.. Enumerable.Range(0, Camera.Length).Where(index => !left.Contains(index))];
        return new BalProblem
        {
            Camera = [.. keep.Select(index => Camera[index])],
            Point = [.. keep.Select(index => Point[index])],
            Observed = [.. keep.SelectMany(index => new[] { Observed[2 * index], Observed[(2 * index) + 1] })],
            Cameras = Cameras,
            Points = Points,
        };
    }

    /// <summary>Sets the problem up for the solver; the points are copied, so this object keeps its start values.</summary>
    public BlockProblem ToBlockProblem(RobustLoss loss)
    {
        BlockProblem problem = new(3, (double[])Points.Clone());
        Span<double> values = stackalloc double[BalCamera.ValueCount];
        for (int camera = 0; camera < CameraCount; camera++)
        {
            BalCamera.FromBal(Cameras.AsSpan(9 * camera, 9), values);
            problem.AddSharedBlock(values, BalCamera.StepSize, BalCamera.Move);
        }

        problem.AddResiduals(new BalResiduals(this, loss));
        return problem;
    }

    private static double[] Fill(int count, Func<double> next)
    {
        double[] values = new double[count];
        for (int index = 0; index < count; index++)
        {
            values[index] = next();
        }

        return values;
    }

    private static Func<double> Numbers(StreamReader reader)
    {
        string[] parts = [];
        int at = 0;
        return () =>
        {
            while (at == parts.Length)
            {
                string line = reader.ReadLine() ?? throw new InvalidDataException("The BAL file ends too early.");
                parts = line.Split(' ', StringSplitOptions.RemoveEmptyEntries);
                at = 0;
            }

            return double.Parse(parts[at++], CultureInfo.InvariantCulture);
        };
    }
}
