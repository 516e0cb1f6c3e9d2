using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Radiometry.Tests;

/// <summary>Six captures of the same 40 × 40 places; in one the lower right quarter is told 6 % too bright.</summary>
public sealed class FrameCellsTests
{
    private const int Captures = 6;
    private const int Across = 40;

    [Fact]
    public void Of_OneQuarterThatDisagrees_IsUnsureThereAndSureElsewhere()
    {
        GainProblem problem = Problem(off: 0.06);
        double[] even = new double[problem.Samples.Looks];
        Array.Fill(even, 1);
        double[] residuals = GainSolver.Residuals(problem, even, new double[problem.Unknowns]);
        FrameCells cells = FrameCells.Of(problem, residuals, 4, 4);
        // The mean the quarter is held against has a sixth of it.
        Assert.InRange(Math.Sqrt(cells.VarianceOf(2, 15)), 0.04, 0.065);
        Assert.InRange(Math.Sqrt(cells.VarianceOf(2, 0)), 0.002, 0.02);
        Assert.InRange(Math.Sqrt(cells.VarianceOf(4, 15)), 0.002, 0.02);
    }

    [Fact]
    public void Of_NothingButNoiseOfLooks_IsAsSureAsItGets()
    {
        GainProblem problem = Problem(off: 0);
        double[] even = new double[problem.Samples.Looks];
        Array.Fill(even, 1);
        FrameCells cells = FrameCells.Of(
            problem,
            GainSolver.Residuals(problem, even, new double[problem.Unknowns]),
            4,
            4
        );
        // A look scatters by 3 %, a hundred of them make a cell.
        for (int cell = 0; cell < 16; cell++)
        {
            Assert.InRange(Math.Sqrt(cells.VarianceOf(1, cell)), 0.001, 0.006);
        }
    }

    [Fact]
    public void Unseen_GrowsWithTheDistanceAsShadeChanges()
    {
        // Shade rises by 0.05 a node to the right; only the left half was compared.
        double[] nodes = [.. Enumerable.Range(0, 4 * 8).Select(node => 0.05 * (node % 8))];
        GainSamples samples = new(0);
        for (int node = 0; node < nodes.Length; node++)
        {
            if (node % 8 < 4)
            {
                NodePlace place = NodePlace.At(4, 8, node / 8 / 3.0, node % 8 / 7.0);
                samples.Add(0, place, 0, []);
                samples.Add(0, place, 0, []);
                samples.EndPlace();
            }
        }

        double[] unseen = UnseenShade.Of(samples, [nodes], 4, 8)[0];
        Assert.Equal(0, unseen[3]);
        // Down the frame shade does not change: the mean over both ways is √½ of the way across.
        Assert.InRange(unseen[4], 0.03, 0.05);
        Assert.True(unseen[5] > unseen[4] && unseen[6] > unseen[5]);
    }

    private static GainProblem Problem(double off)
    {
        SplittableRandom random = new(5);
        GainSamples samples = new(LookRegressors.Count);
        float[] shared = new float[LookRegressors.Count];
        for (int place = 0; place < Across * Across; place++)
        {
            double across = ((place % Across) + 0.5) / Across;
            double down = ((place / Across) + 0.5) / Across;
            shared[LookRegressors.Lens + 2] = (float)((2 * across) - 1);
            shared[LookRegressors.Lens + 3] = (float)((2 * down) - 1);
            for (int capture = 0; capture < Captures; capture++)
            {
                double wrong = capture == 2 && across > 0.5 && down > 0.5 ? off : 0;
                samples.Add(capture, NodePlace.At(1, 1, down, across), wrong + (0.03 * random.NextGaussian()), shared);
            }

            samples.EndPlace();
        }

        return new GainProblem(samples, Captures, 1, 0);
    }
}
