using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Planning;

/// <summary>Counts what the finished plan sees, by ray casts from every planned capture.</summary>
internal static class CoverageFigures
{
    /// <summary>Cells of the map; more would cost seconds and show nothing more on 30 m terrain.</summary>
    private const int MostCells = 6_000;

    public static PlannedCoverage Of(
        FlightGround ground,
        PlanningInput input,
        PlanningSettings settings,
        IReadOnlyList<Sortie> sorties
    )
    {
        PlanPolygon[] polygons = [.. input.Blocks.SelectMany(block => block.Parts)];
        IEnumerable<PlanPoint> corners = polygons.SelectMany(polygon => polygon.Outer);
        double west = corners.Min(corner => corner.EastMetres);
        double east = corners.Max(corner => corner.EastMetres);
        double south = corners.Min(corner => corner.NorthMetres);
        double north = corners.Max(corner => corner.NorthMetres);
        double area = polygons.Sum(polygon => polygon.AreaSquareMetres);
        double cell = Math.Max(2, Math.Ceiling(Math.Sqrt(area / MostCells)));
        LocalGrid grid = new(
            west,
            north,
            cell,
            Math.Max(1, (int)Math.Ceiling((north - south) / cell)),
            Math.Max(1, (int)Math.Ceiling((east - west) / cell))
        );
        byte[] inBlock = new byte[checked((int)grid.CellCount)];
        Mark(grid, polygons, inBlock);
        PlannedTrigger[] captures = [.. sorties.SelectMany(sortie => sortie.Captures)];
        CoverageMap nominal = Count(captures, settings.CanopyMetres);
        CoverageMap raised = Count(captures, ground.RaiseMetres);
        List<int> views = [];
        List<double> pixels = [];
        int kept = 0;
        int nominally = 0;
        for (int at = 0; at < inBlock.Length; at++)
        {
            if (inBlock[at] != 0)
            {
                views.Add(nominal.Counts[at]);
                nominally += nominal.Counts[at] >= settings.Views ? 1 : 0;
                kept += raised.Counts[at] >= settings.Views ? 1 : 0;
                if (!float.IsNaN(nominal.FinestPixelMetres[at]))
                {
                    pixels.Add(nominal.FinestPixelMetres[at]);
                }
            }
        }

        views.Sort();
        pixels.Sort();
        double At(double share) => pixels.Count == 0 ? double.NaN : pixels[(int)(share * (pixels.Count - 1))];
        return new PlannedCoverage(
            nominal,
            inBlock,
            views.Count == 0 ? 0 : views[0],
            views.Count == 0 ? 0 : views[views.Count / 2],
            views.Count == 0 ? 0 : (double)kept / views.Count,
            At(0),
            At(0.5),
            At(0.95)
        )
        {
            NominalShare = views.Count == 0 ? 0 : (double)nominally / views.Count,
        };

        CoverageMap Count(PlannedTrigger[] triggers, double lowerMetres) =>
            CoverageMap.Count(
                [
                    .. triggers.Select(trigger => new SightedFrame(
                        CameraPose.FromAttitude(
                            trigger.PositionLocalMetres - new Vector3D(0, 0, lowerMetres),
                            Attitude.FromDegrees(trigger.YawDegrees, 0, 0)
                        ),
                        input.Camera.Lens
                    )),
                ],
                ground.Terrain,
                grid,
                Math.Max(1, settings.Threads),
                400
            );
    }

    /// <summary>Marks the cells whose centre lies inside a block.</summary>
    private static void Mark(LocalGrid grid, PlanPolygon[] polygons, byte[] inBlock)
    {
        SweepAxes plain = new(Math.PI / 2);
        for (int row = 0; row < grid.Rows; row++)
        {
            foreach (Stretch inside in LineStretches.Inside(plain, polygons, -grid.NorthOf(row)))
            {
                int first = Math.Max(0, (int)Math.Ceiling(((inside.From - grid.WestMetres) / grid.CellMetres) - 0.5));
                int last = Math.Min(
                    grid.Columns - 1,
                    (int)Math.Floor(((inside.To - grid.WestMetres) / grid.CellMetres) - 0.5)
                );
                for (int column = first; column <= last; column++)
                {
                    inBlock[(row * grid.Columns) + column] = 1;
                }
            }
        }
    }
}
