using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Mapping;

/// <summary>
/// A lens as a table: direction (x/z, y/z in the band's camera frame) → place in the picture, exact at nodes, bilinear
/// between. Dense enough that the table errs by less than a given share of a pixel.
/// </summary>
/// <remarks>
/// The error is measured against the lens itself at the middle of every cell, where a bilinear table is worst, and the
/// table is refined until it holds. Immutable; safe to use from many threads.
/// </remarks>
public sealed class LensLattice
{
    private const int FirstCells = 48;
    private const int MostCells = 768;

    private LensLattice(Lens lens, double left, double top, double right, double bottom, int cells)
    {
        Cells = cells;
        Left = (float)left;
        Top = (float)top;
        ScaleAcross = (float)(cells / (right - left));
        ScaleDown = (float)(cells / (bottom - top));
        int side = cells + 1;
        Nodes = new float[2 * side * side];
        double worst = 0;
        for (int row = 0; row < side; row++)
        {
            for (int column = 0; column < side; column++)
            {
                (float c, float r) = Exact(lens, row, column);
                Nodes[2 * ((row * side) + column)] = c;
                Nodes[(2 * ((row * side) + column)) + 1] = r;
            }
        }

        for (int row = 0; row < cells; row++)
        {
            for (int column = 0; column < cells; column++)
            {
                (float c, float r) = Exact(lens, row + 0.5, column + 0.5);
                PixelPoint found = PlaceOf(Left + ((column + 0.5f) / ScaleAcross), Top + ((row + 0.5f) / ScaleDown));
                double error = Math.Sqrt(
                    ((found.Column - c) * (found.Column - c)) + ((found.Row - r) * (found.Row - r))
                );
                if (!double.IsNaN(error) && lens.Contains(found))
                {
                    worst = Math.Max(worst, error);
                }
            }
        }

        GreatestErrorPixels = worst;
    }

    /// <summary>Cells a side.</summary>
    public int Cells { get; }

    public float Left { get; }

    public float Top { get; }

    /// <summary>Cells for one unit of x/z.</summary>
    public float ScaleAcross { get; }

    /// <summary>Cells for one unit of y/z.</summary>
    public float ScaleDown { get; }

    /// <summary>(Cells + 1)² pairs of column and row, row-major; NaN where the lens does not see.</summary>
    public float[] Nodes { get; }

    /// <summary>Against the lens, inside the frame.</summary>
    public double GreatestErrorPixels { get; }

    public static LensLattice Of(Lens lens, double greatestErrorPixels = 0.004)
    {
        ArgumentNullException.ThrowIfNull(lens);
        double left = double.PositiveInfinity;
        double top = double.PositiveInfinity;
        double right = double.NegativeInfinity;
        double bottom = double.NegativeInfinity;
        const int steps = 32;
        for (int step = 0; step <= steps; step++)
        {
            double across = (double)lens.Columns * step / steps;
            double down = (double)lens.Rows * step / steps;
            ReadOnlySpan<PixelPoint> border =
            [
                new(across, 0),
                new(across, lens.Rows),
                new(0, down),
                new(lens.Columns, down),
            ];
            foreach (PixelPoint place in border)
            {
                if (lens.TryRayOf(place, out Vector3D ray) && ray.Z > 0)
                {
                    left = Math.Min(left, ray.X / ray.Z);
                    right = Math.Max(right, ray.X / ray.Z);
                    top = Math.Min(top, ray.Y / ray.Z);
                    bottom = Math.Max(bottom, ray.Y / ray.Z);
                }
            }
        }

        if (!(right > left && bottom > top))
        {
            throw new InputProblemException(
                "camera geometry",
                "a lens cannot be inverted anywhere along its frame.",
                "Check the lens of each band in the camera profile."
            );
        }

        double margin = 0.02 * Math.Max(right - left, bottom - top);
        int cells = FirstCells;
        while (true)
        {
            LensLattice lattice = new(lens, left - margin, top - margin, right + margin, bottom + margin, cells);
            if (lattice.GreatestErrorPixels <= greatestErrorPixels || cells >= MostCells)
            {
                return lattice;
            }

            cells *= 2;
        }
    }

    /// <summary>Place in the picture of a direction; NaN outside the table.</summary>
    public PixelPoint PlaceOf(float across, float down)
    {
        float x = (across - Left) * ScaleAcross;
        float y = (down - Top) * ScaleDown;
        if (!(x >= 0 && y >= 0 && x < Cells && y < Cells))
        {
            return new PixelPoint(double.NaN, double.NaN);
        }

        int column = (int)x;
        int row = (int)y;
        float u = x - column;
        float v = y - row;
        int side = Cells + 1;
        int at = 2 * ((row * side) + column);
        int below = at + (2 * side);
        float Mix(int k)
        {
            float upper = Nodes[at + k] + ((Nodes[at + 2 + k] - Nodes[at + k]) * u);
            float lower = Nodes[below + k] + ((Nodes[below + 2 + k] - Nodes[below + k]) * u);
            return upper + ((lower - upper) * v);
        }

        return new PixelPoint(Mix(0), Mix(1));
    }

    private (float Column, float Row) Exact(Lens lens, double row, double column)
    {
        Vector3D direction = new(Left + (column / ScaleAcross), Top + (row / ScaleDown), 1);
        return lens.TryProject(direction, out PixelPoint place)
            ? ((float)place.Column, (float)place.Row)
            : (float.NaN, float.NaN);
    }
}
