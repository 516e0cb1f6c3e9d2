using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Plants;

/// <summary>Finds and measures the plants of one block.</summary>
internal sealed class BlockFinder(PlantsInput input, PlantBlock block, PlantsSettings settings)
{
    private const double RowCellMetres = 0.2;
    private const double PlantCellMetres = 0.1;
    private const double LeastPlantSpacingMetres = 0.5;

    // Beyond this share of missing map a block's rows cannot be told.
    private const double LargestMissingShare = 0.6;

    // Rows whose direction gathers less of the ring's power than this are doubtful (an even ring would give 0.1).
    private const double DoubtfulDistinctness = 0.2;

    // Finding fewer of the known plants than this on a new survey is a failure of finding, or a felled block.
    private const double FewFoundAgain = 0.7;

    public BlockPlants Find(CancellationToken cancel)
    {
        BlockScene? scene = BlockScene.Load(input, block, settings);
        if (scene is null)
        {
            return Refused("lies off the reflectance map. Check the block's boundary, or map its area.");
        }

        if (scene.MissingShare > LargestMissingShare)
        {
            return Refused(
                $"{scene.MissingShare:P0} of it is missing in the map (limit {LargestMissingShare:P0}). Fly it again."
            );
        }

        cancel.ThrowIfCancellationRequested();
        RowsFound found = Search(scene, block, cancel);
        if (block.Earlier is { } earlier)
        {
            found = WithEarlier(scene, earlier, found, cancel);
        }

        return found.Scattered is { } reason ? new ScatteredFinder(input, block, settings, scene).Find(reason, cancel)
            : found.Positions is null ? Refused(found.Refusal)
            : Measure(scene, found, cancel);
    }

    /// <summary>The better of what is found with and without the earlier survey's spacings, and what it knew kept.</summary>
    private RowsFound WithEarlier(BlockScene scene, EarlierPlants earlier, RowsFound found, CancellationToken cancel)
    {
        bool hadRows = double.IsFinite(earlier.RowSpacingMetres) && earlier.Rows.Count > 0;
        if (!hadRows && found.Positions is null)
        {
            return found;
        }

        EarlierPositions Against(RowsFound some) =>
            new(
                input,
                scene,
                settings,
                earlier,
                some.Positions?.Plants ?? [],
                double.IsFinite(some.Spacing) ? some.Spacing : earlier.PlantSpacingMetres
            );

        EarlierPositions known = Against(found);
        if (known.IsClosed)
        {
            found = RowsFound.Known(
                earlier,
                $"Block {block.Name}: the canopy is closed; plants known from before are kept, new ones cannot be told. Give surface and ground."
            );
            known = Against(found);
        }
        else if (hadRows && known.FoundAgain < FewFoundAgain * earlier.Plants.Count)
        {
            RowsFound again = Search(
                scene,
                block with
                {
                    RowSpacingMetres = block.RowSpacingMetres ?? earlier.RowSpacingMetres,
                    PlantSpacingMetres = block.PlantSpacingMetres ?? earlier.PlantSpacingMetres,
                },
                cancel
            );
            EarlierPositions knownAgain = Against(again);
            if (knownAgain.FoundAgain > known.FoundAgain)
            {
                (found, known) = (again, knownAgain);
            }

            if (found.Positions is null)
            {
                found = RowsFound.Known(
                    earlier,
                    $"Block {block.Name}: no rows show; plants known from before are kept where canopy covers their places."
                );
            }
        }

        known.Keep(found.Positions!, inRows: true);
        return found;
    }

    private RowsFound Search(BlockScene scene, PlantBlock asked, CancellationToken cancel)
    {
        FieldGrid coarse = scene.Evidence(RowCellMetres);
        byte[] coarseInside = InsideOf(scene, coarse);
        (double least, double largest) = asked.RowSpacingMetres is { } given
            ? (0.75 * given, 1.33 * given)
            : (settings.LeastRowSpacingMetres, settings.LargestRowSpacingMetres);
        RowDirection? direction = RowDirection.Find(coarse, coarseInside, least, largest, settings.Threads);
        if (direction is null)
        {
            return RowsFound.None("no canopy was found. Check the block's boundary and the reflectance map.");
        }

        if (ScatteredFinder.Reason(asked, settings, scene.Grid.CellSizeMetres, direction) is { } reason)
        {
            return RowsFound.None("") with { Scattered = reason };
        }

        double rowSpacing = asked.RowSpacingMetres ?? direction.SpacingMetres;
        cancel.ThrowIfCancellationRequested();
        IReadOnlyList<TracedRow> traced = RowTracing.Trace(
            coarse,
            coarseInside,
            direction,
            rowSpacing,
            settings.LongestBlindStretchMetres,
            settings.Threads
        );
        if (traced.Count == 0)
        {
            return RowsFound.None("no rows were found. State the row spacing of the block, or check its boundary.");
        }

        List<string> doubts = [];
        if (direction.Distinctness < DoubtfulDistinctness)
        {
            doubts.Add(
                $"Block {block.Name}: rows are hard to tell; positions lean on single plants. State the spacings."
            );
        }

        if (scene.Height is null)
        {
            doubts.Add($"Block {block.Name}: no canopy height; weeds may pass as plants. Give surface and ground.");
        }

        return Place(scene, asked, Numbered(traced, scene, direction, rowSpacing), rowSpacing, doubts, cancel);
    }

    private RowsFound Place(
        BlockScene scene,
        PlantBlock asked,
        IReadOnlyList<TracedRow> rows,
        double rowSpacing,
        List<string> doubts,
        CancellationToken cancel
    )
    {
        FieldGrid fine = scene.Evidence(PlantCellMetres, roundDown: true);
        byte[] inside = InsideOf(scene, fine);
        double spacing =
            asked.PlantSpacingMetres
            ?? PlantSpacing.Find(
                Profiles(rows, Smooth(fine, 0.15), inside, rowSpacing, rowSpacing),
                LeastPlantSpacingMetres,
                1.4 * rowSpacing
            )
            ?? double.NaN;
        if (double.IsNaN(spacing))
        {
            spacing = 0.6 * rowSpacing;
            doubts.Add($"Block {block.Name}: no planting distance shows; {spacing:F1} m is assumed. State it.");
        }

        FieldGrid smooth = Smooth(fine, Math.Max(0.08, 0.12 * spacing));
        IReadOnlyList<RowProfile> profiles = Profiles(rows, smooth, inside, rowSpacing, 1.5 * spacing);
        cancel.ThrowIfCancellationRequested();
        BlockPositions positions = new RowPositions(scene, smooth, profiles, spacing, rowSpacing, settings).Choose();
        new YoungPlants(scene, spacing, positions).Find();
        new OffPatternPlants(smooth, profiles, spacing, positions).Add(inside);
        LabelTrial? learning = LabelledPositions.Apply(input, block, scene, positions, spacing);
        PlantRow[] lines =
        [
            .. profiles.Select(
                (profile, index) =>
                    new PlantRow(
                        index + 1,
                        [.. profile.Row.Points.Select(point => scene.PlaceOf(point.X, point.Y))],
                        Length(profile.Row)
                    )
            ),
        ];
        return new RowsFound(positions, spacing, rowSpacing, lines, doubts) { Learning = learning };
    }

    private BlockPlants Measure(BlockScene scene, RowsFound found, CancellationToken cancel)
    {
        BlockPositions positions = found.Positions!;
        int[] crowns = new int[scene.Inside.Length];
        CrownTiles tiles = new(input, settings, scene, found.Spacing, found.RowSpacing);
        IReadOnlyList<PlantRecord> plants = KnownPlaces.Hold(
            scene,
            positions,
            tiles.Measure(positions.Plants, crowns, cancel)
        );
        double[] areas = [.. plants.Select(plant => plant.CrownAreaSquareMetres.Value)];
        double typicalArea = areas.Length == 0 ? 0 : Numerics.Statistics.Quantiles.Median(areas);
        plants =
        [
            .. plants.Select(plant =>
                plant.CrownAreaSquareMetres.Value < 0.35 * typicalArea
                    ? plant with
                    {
                        Quality = plant.Quality | PlantQuality.Small,
                    }
                    : plant
            ),
        ];
        StageOutcome outcome = found.Doubts.Count == 0 ? StageOutcome.Done : StageOutcome.Degraded([.. found.Doubts]);
        return new BlockPlants(block.Name, outcome)
        {
            RowSpacingMetres = found.RowSpacing,
            PlantSpacingMetres = found.Spacing,
            Learning = found.Learning,
            Rows = found.Rows,
            Plants = plants,
            Gaps = positions.Gaps,
            Hidden = positions.Hidden,
            Crowns = new Raster<int>(RasterLabel.OfOneBand(scene.Grid, "plant"), [crowns]),
        };
    }

    private static IReadOnlyList<TracedRow> Numbered(
        IReadOnlyList<TracedRow> rows,
        BlockScene scene,
        RowDirection direction,
        double rowSpacing
    )
    {
        // Across the rows, the way the ground falls; north to south, or west to east, where that is not known.
        double acrossX = 0;
        double acrossY = 0;
        (double downX, double downY) = scene.Downhill ?? (0.2, 1);
        foreach (TracedRow row in rows)
        {
            for (int at = 0; at < row.Points.Count; at += 10)
            {
                (double ax, double ay) = direction.Along(row.Points[at].X, row.Points[at].Y);
                double sign = (-ay * downX) + (ax * downY) >= 0 ? 1 : -1;
                acrossX += -sign * ay;
                acrossY += sign * ax;
            }
        }

        int[] order = RowOrder.Order(rows, acrossX, acrossY, rowSpacing);
        return [.. order.Select(index => WestToEast(rows[index]))];
    }

    private static TracedRow WestToEast(TracedRow row)
    {
        (double x0, double y0) = row.Points[0];
        (double x1, double y1) = row.Points[^1];
        bool turn = Math.Abs(x1 - x0) >= 0.5 * Math.Abs(y1 - y0) ? x1 < x0 : y1 < y0;
        return turn ? new TracedRow([.. row.Points.Reverse()]) : row;
    }

    private IReadOnlyList<RowProfile> Profiles(
        IReadOnlyList<TracedRow> rows,
        FieldGrid evidence,
        byte[] inside,
        double rowSpacing,
        double beyond
    )
    {
        RowProfile[] profiles = new RowProfile[rows.Count];
        Parallel.For(
            0,
            rows.Count,
            new ParallelOptions { MaxDegreeOfParallelism = settings.Threads },
            index =>
                profiles[index] = RowProfile.Along(
                    rows[index],
                    evidence,
                    inside,
                    RowPositions.StepMetres,
                    0.22 * rowSpacing,
                    beyond
                )
        );
        return profiles;
    }

    private static FieldGrid Smooth(FieldGrid grid, double sigmaMetres)
    {
        float[] smooth = new float[grid.Values.Length];
        GaussianFilter.Smooth<float>(
            grid.Values,
            grid.Rows,
            grid.Columns,
            Math.Max(0.5, sigmaMetres / grid.CellMetres),
            Border.Nearest,
            smooth
        );
        return grid with { Values = smooth };
    }

    private static byte[] InsideOf(BlockScene scene, FieldGrid grid)
    {
        byte[] inside = new byte[grid.Values.Length];
        int factor = (int)Math.Round(grid.CellMetres / scene.Grid.CellSizeMetres);
        for (int row = 0; row < grid.Rows; row++)
        {
            for (int column = 0; column < grid.Columns; column++)
            {
                int r = Math.Min(scene.Window.Rows - 1, (row * factor) + (factor / 2));
                int c = Math.Min(scene.Window.Columns - 1, (column * factor) + (factor / 2));
                inside[(row * grid.Columns) + column] = scene.Inside[(r * scene.Window.Columns) + c];
            }
        }

        return inside;
    }

    private static double Length(TracedRow row)
    {
        double length = 0;
        for (int at = 0; at + 1 < row.Points.Count; at++)
        {
            double dx = row.Points[at + 1].X - row.Points[at].X;
            double dy = row.Points[at + 1].Y - row.Points[at].Y;
            length += Math.Sqrt((dx * dx) + (dy * dy));
        }

        return length;
    }

    private BlockPlants Refused(string reason) =>
        new(block.Name, StageOutcome.Refused($"Block {block.Name}: {reason}"));
}
