using System.Runtime.CompilerServices;

namespace Hillrow.Rehearsal;

/// <summary>
/// The true ground: heights (up coordinate, metres, local frame) at the posts of a square grid, bilinear between
/// them, and held level beyond the edge.
/// </summary>
public sealed unsafe class TerrainPosts
{
    private readonly float[] posts;
    private readonly float* first;
    private readonly float[] steepness;

    /// <summary>Posts along the edge of a square for which the steepest slope nearby is kept.</summary>
    internal const int SteepPosts = 10;

    /// <param name="extent">The rectangle that the posts cover, both edges included.</param>
    /// <param name="spacingMetres">Distance between posts, above 0.</param>
    public TerrainPosts(SceneExtent extent, double spacingMetres)
    {
        ArgumentNullException.ThrowIfNull(extent);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(spacingMetres);
        Extent = extent;
        SpacingMetres = spacingMetres;
        Columns = (int)Math.Ceiling(extent.WidthMetres / spacingMetres) + 1;
        Rows = (int)Math.Ceiling(extent.LengthMetres / spacingMetres) + 1;
        posts = GC.AllocateArray<float>(checked(Rows * Columns), pinned: true);
        first = (float*)Unsafe.AsPointer(ref posts[0]);
        SteepColumns = (Columns / SteepPosts) + 1;
        SteepRows = (Rows / SteepPosts) + 1;
        steepness = GC.AllocateArray<float>(SteepColumns * SteepRows, pinned: true);
        FirstSteepness = (float*)Unsafe.AsPointer(ref steepness[0]);
    }

    public SceneExtent Extent { get; }

    public double SpacingMetres { get; }

    /// <summary>Posts from south to north.</summary>
    public int Rows { get; }

    /// <summary>Posts from west to east.</summary>
    public int Columns { get; }

    /// <summary>Rows × Columns up coordinates, row 0 in the south.</summary>
    public Span<float> Posts => posts;

    public float HighestMetres { get; private set; }

    public float LowestMetres { get; private set; }

    /// <summary>Steepest rise over run between the posts; a ray may step by gap / (fall + slope × run) and never cross.</summary>
    public float SteepestSlope { get; private set; }

    internal float* FirstPost => first;

    internal int SteepColumns { get; }

    internal int SteepRows { get; }

    /// <summary>Steepest slope within one square's edge of each square, row by row from the south-west.</summary>
    internal float* FirstSteepness { get; }

    /// <summary>Must be called once after the posts are filled in.</summary>
    public void Measure()
    {
        (LowestMetres, HighestMetres) = (float.MaxValue, float.MinValue);
        float[] own = new float[SteepColumns * SteepRows];
        for (int row = 0; row < Rows; row++)
        {
            for (int column = 0; column < Columns; column++)
            {
                float here = posts[(row * Columns) + column];
                LowestMetres = MathF.Min(LowestMetres, here);
                HighestMetres = MathF.Max(HighestMetres, here);
                float east = column + 1 < Columns ? posts[(row * Columns) + column + 1] - here : 0;
                float north = row + 1 < Rows ? posts[((row + 1) * Columns) + column] - here : 0;
                ref float worst = ref own[(row / SteepPosts * SteepColumns) + (column / SteepPosts)];
                worst = MathF.Max(worst, (east * east) + (north * north));
            }
        }

        SteepestSlope = 0;
        for (int row = 0; row < SteepRows; row++)
        {
            for (int column = 0; column < SteepColumns; column++)
            {
                float worst = 0;
                for (int y = Math.Max(0, row - 1); y <= Math.Min(SteepRows - 1, row + 1); y++)
                {
                    for (int x = Math.Max(0, column - 1); x <= Math.Min(SteepColumns - 1, column + 1); x++)
                    {
                        worst = MathF.Max(worst, own[(y * SteepColumns) + x]);
                    }
                }

                float slope = (float)(1.05 * Math.Sqrt(worst) / SpacingMetres);
                steepness[(row * SteepColumns) + column] = slope;
                SteepestSlope = MathF.Max(SteepestSlope, slope);
            }
        }
    }

    /// <summary>Up coordinate of the ground.</summary>
    public double HeightAt(double eastMetres, double northMetres)
    {
        double x = Math.Clamp((eastMetres - Extent.WestMetres) / SpacingMetres, 0, Columns - 1.001);
        double y = Math.Clamp((northMetres - Extent.SouthMetres) / SpacingMetres, 0, Rows - 1.001);
        int ix = (int)x;
        int iy = (int)y;
        double fx = x - ix;
        double fy = y - iy;
        int at = (iy * Columns) + ix;
        double south = posts[at] + ((posts[at + 1] - posts[at]) * fx);
        double north = posts[at + Columns] + ((posts[at + Columns + 1] - posts[at + Columns]) * fx);
        return south + ((north - south) * fy);
    }

    /// <summary>Rise per metre to the east and to the north, over a base of 2 × reach.</summary>
    public (double East, double North) SlopeAt(double eastMetres, double northMetres, double reachMetres) =>
        (
            (HeightAt(eastMetres + reachMetres, northMetres) - HeightAt(eastMetres - reachMetres, northMetres))
                / (2 * reachMetres),
            (HeightAt(eastMetres, northMetres + reachMetres) - HeightAt(eastMetres, northMetres - reachMetres))
                / (2 * reachMetres)
        );
}
