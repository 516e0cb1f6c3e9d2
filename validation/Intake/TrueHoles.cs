using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Intake;
using Hillrow.Numerics;
using Hillrow.Rehearsal;
using Hillrow.Sight;

namespace Hillrow.Validation.Intake;

/// <summary>Holes as they really are: cells on the true ground, projected by the true cameras of the sharp captures.</summary>
internal sealed class TrueHoles
{
    private const int ReferenceLens = 4;
    private const int LeastViews = 3;
    private const double LeastWidthMetres = 10;

    private readonly LocalGrid grid;
    private readonly Dictionary<string, bool[]> byBlock = [];

    /// <param name="card">The flight.</param>
    /// <param name="grid">Cells of the check.</param>
    /// <param name="frame">Of that grid.</param>
    /// <param name="seen">Numbers of the captures that are there and sharp.</param>
    /// <param name="shift">Everything that is seen is taken to lie so much farther east and north.</param>
    public TrueHoles(
        FlownCard card,
        LocalGrid grid,
        LocalFrame frame,
        IEnumerable<int> seen,
        (double East, double North) shift = default
    )
    {
        this.grid = grid;
        RehearsedEstate model = card.Model;
        TerrainPosts terrain = HillsideTerrain.Build(model.Model, model.Layout, 1);
        RigLens lens = model.Rig.Coarser(FlownCard.PixelEdge).Lenses[ReferenceLens];
        PoseTruth[] poses = [.. seen.Select(card.PoseOf)];
        int[] views = new int[grid.CellCount];
        string?[] blocks = new string?[grid.CellCount];
        for (int cell = 0; cell < views.Length; cell++)
        {
            GeodeticPosition place = frame.ToGeodetic(
                new Vector3D(grid.EastOf(cell % grid.Columns), grid.NorthOf(cell / grid.Columns), 0)
            );
            Vector3D at = model.Place.ToLocal(place);
            blocks[cell] = model
                .Layout.Blocks.FirstOrDefault(block =>
                    at.X >= block.West && at.X < block.East && at.Y >= block.South && at.Y < block.North
                )
                ?.Name;
            if (blocks[cell] is not null)
            {
                Vector3D ground = new(
                    at.X - shift.East,
                    at.Y - shift.North,
                    terrain.HeightAt(at.X - shift.East, at.Y - shift.North)
                );
                foreach (PoseTruth pose in poses)
                {
                    PixelPoint pixel = lens.Project(pose.Pose, ground);
                    views[cell] +=
                        pixel.Column > 0
                        && pixel.Row > 0
                        && pixel.Column < FlownCard.Columns
                        && pixel.Row < FlownCard.Rows
                            ? 1
                            : 0;
                }
            }
        }

        foreach (string name in blocks.OfType<string>().Distinct())
        {
            byBlock[name] = [.. views.Select((count, cell) => count < LeastViews && blocks[cell] == name)];
        }
    }

    /// <summary>Mean of reported less true positions of captures, by number; east and north.</summary>
    public static (double East, double North) MeanError(FlownCard card, IEnumerable<int> numbers)
    {
        PoseTruth[] poses = [.. numbers.Select(card.PoseOf)];
        return (
            poses.Average(pose => pose.ReportedLocalMetres[0] - pose.PositionLocalMetres[0]),
            poses.Average(pose => pose.ReportedLocalMetres[1] - pose.PositionLocalMetres[1])
        );
    }

    /// <summary>For every true hole wider than asked, its overlap with what was found there: shared cells over all cells.</summary>
    public IReadOnlyList<(string Block, double Width, double Overlap)> Judge(IReadOnlyList<CoverageHole> found)
    {
        List<(string, double, double)> judged = [];
        foreach ((string block, bool[] mask) in byBlock)
        {
            int[] regions = Regions(mask, out int count);
            bool[][] told = [.. found.Where(hole => hole.Block == block).Select(hole => Inside(hole.RingLocalMetres))];
            for (int region = 1; region <= count; region++)
            {
                double width = WidthOf(regions, region);
                if (width <= LeastWidthMetres)
                {
                    continue;
                }

                bool[][] met = [.. told.Where(cells => Shares(cells, regions, region))];
                int shared = 0;
                int all = 0;
                for (int cell = 0; cell < mask.Length; cell++)
                {
                    bool real = regions[cell] == region;
                    bool said = Array.Exists(met, cells => cells[cell]);
                    shared += real && said ? 1 : 0;
                    all += real || said ? 1 : 0;
                }

                judged.Add((block, width, all == 0 ? 0 : (double)shared / all));
            }
        }

        return judged;
    }

    /// <summary>Found holes that share less than half of their cells with ground that truly too few captures see.</summary>
    public int Invented(IReadOnlyList<CoverageHole> found) =>
        found.Count(hole =>
        {
            bool[] cells = Inside(hole.RingLocalMetres);
            int all = cells.Count(cell => cell);
            int real = cells.Where((said, cell) => said && byBlock[hole.Block][cell]).Count();
            return 2 * real < all;
        });

    private static bool Shares(bool[] cells, int[] regions, int region)
    {
        for (int cell = 0; cell < cells.Length; cell++)
        {
            if (cells[cell] && regions[cell] == region)
            {
                return true;
            }
        }

        return false;
    }

    /// <summary>Cells whose centre lies in a ring; even-odd.</summary>
    private bool[] Inside(IReadOnlyList<LocalPlace> ring)
    {
        bool[] inside = new bool[grid.CellCount];
        for (int cell = 0; cell < inside.Length; cell++)
        {
            double east = grid.EastOf(cell % grid.Columns);
            double north = grid.NorthOf(cell / grid.Columns);
            bool odd = false;
            for (int corner = 0; corner + 1 < ring.Count; corner++)
            {
                LocalPlace a = ring[corner];
                LocalPlace b = ring[corner + 1];
                if (
                    (a.North > north) != (b.North > north)
                    && east < a.East + ((north - a.North) / (b.North - a.North) * (b.East - a.East))
                )
                {
                    odd = !odd;
                }
            }

            inside[cell] = odd;
        }

        return inside;
    }

    private int[] Regions(bool[] mask, out int count)
    {
        int[] labels = new int[mask.Length];
        byte[] bytes = [.. mask.Select(cell => cell ? (byte)1 : (byte)0)];
        count = Labelling.Label(bytes, grid.Rows, grid.Columns, Connectivity.Four, labels);
        return labels;
    }

    /// <summary>Of the widest circle inside, by trying every cell.</summary>
    private double WidthOf(int[] regions, int region)
    {
        double widest = 0;
        List<int> outside = [.. Enumerable.Range(0, regions.Length).Where(cell => regions[cell] != region)];
        for (int cell = 0; cell < regions.Length; cell++)
        {
            if (regions[cell] != region)
            {
                continue;
            }

            int row = cell / grid.Columns;
            int column = cell % grid.Columns;
            // Beyond the grid is outside as well.
            double nearest = Math.Min(Math.Min(row + 1, grid.Rows - row), Math.Min(column + 1, grid.Columns - column));
            nearest *= nearest;
            foreach (int other in outside)
            {
                double down = row - (other / grid.Columns);
                double across = column - (other % grid.Columns);
                nearest = Math.Min(nearest, (down * down) + (across * across));
            }

            widest = Math.Max(widest, 2 * (Math.Sqrt(nearest) - 0.5) * grid.CellMetres);
        }

        return widest;
    }
}
