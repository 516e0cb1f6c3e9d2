using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Mapping;

/// <summary>Lays the map: an orthomosaic of all bands, each cell from one capture, with sigma, capture, view and shadow layers.</summary>
public static class MappingStage
{
    private const double ShareHiddenToTell = 0.02;

    /// <summary>Half-filled tiles of all layers wait in so much memory at most.</summary>
    private const long MostOpenBytes = 3L << 28;

    /// <summary>Writes the layers of a map as cloud-optimized GeoTIFF.</summary>
    /// <param name="input">Poses, frames, surface, grid and where to write.</param>
    /// <param name="settings">Null for the usual ones.</param>
    /// <param name="progress">Told in the user's words.</param>
    /// <param name="cancel">Leaves no file behind.</param>
    /// <returns>What was mapped. Files are there unless the outcome is refused.</returns>
    /// <exception cref="InputProblemException">Settings, surface, grid and geometry do not fit together, or a frame cannot be read.</exception>
    /// <exception cref="IOException">The disk refuses.</exception>
    public static MappingResult Run(
        MappingInput input,
        MappingSettings? settings = null,
        IProgress<WorkProgress>? progress = null,
        CancellationToken cancel = default
    )
    {
        ArgumentNullException.ThrowIfNull(input);
        settings = (settings ?? new MappingSettings()).Checked();
        MappingChecks.Check(input);
        List<string> reasons = [];
        List<int> usable = MappingChecks.UsableCaptures(input, reasons);
        if (usable.Count == 0)
        {
            reasons.Add("No capture is placed and has all bands: nothing can be mapped.");
            return new MappingResult(StageOutcome.Refused([.. reasons]), 0, 0, 0, 0, 0, 0, 0);
        }

        ParallelOptions parallel = new()
        {
            CancellationToken = cancel,
            MaxDegreeOfParallelism = settings.Threads > 0 ? settings.Threads : Environment.ProcessorCount,
        };
        progress?.Report(new WorkProgress("choosing captures for the map", 0));
        LensLattice[] lattices =
        [
            .. input.Frames.Bands.Select(band => LensLattice.Of(input.Geometry.BandOf(band).Lens)),
        ];
        CaptureView[] views = [.. usable.Select(index => CaptureView.Of(input, index, lattices))];
        SurfaceGrid surface = new(input.Surface);
        PatchGrid patches = new(input.Grid, input.Geometry.Frame, settings.PatchMetres, surface.TypicalHeightMetres());
        PatchCandidates candidates = PatchCandidates.Find(patches, surface, views, settings, parallel);
        progress?.Report(new WorkProgress("choosing captures for the map", 0.12));
        PatchLooks? looks =
            settings.SeamDifferenceWeight > 0 ? PatchLooks.Take(patches, candidates, views, input, parallel) : null;
        byte[] chosen = SeamSmoothing.Choose(patches, candidates, looks, settings, cancel);
        CellChoice choice = CellChoice.Make(patches, surface, views, candidates, chosen, settings, parallel);
        if (choice.CellsMapped == 0)
        {
            reasons.Add(
                "No capture sees any part of the surface inside the map: check that surface, grid and poses belong together."
            );
            return new MappingResult(
                StageOutcome.Refused([.. reasons]),
                0,
                choice.CellsWithSurface,
                choice.CellsHidden,
                0,
                0,
                lattices.Max(lattice => lattice.GreatestErrorPixels),
                double.NaN
            );
        }

        List<int>[] own = choice.PatchesOfViews();
        long shaded = FillAll(input, settings, views, patches, surface, choice, own, parallel, progress);
        if (choice.CellsHidden > ShareHiddenToTell * (choice.CellsMapped + choice.CellsHidden))
        {
            reasons.Add(
                FormattableString.Invariant(
                    $"{100.0 * choice.CellsHidden / (choice.CellsMapped + choice.CellsHidden):F1} % of the cells in reach of captures are hidden from all of them and stay empty."
                )
            );
        }

        return new MappingResult(
            reasons.Count == 0 ? StageOutcome.Done : StageOutcome.Degraded([.. reasons]),
            choice.CellsMapped,
            choice.CellsWithSurface,
            choice.CellsHidden,
            shaded,
            own.Count(list => list.Count > 0),
            lattices.Max(lattice => lattice.GreatestErrorPixels),
            MeanZenithDegrees(views, patches, candidates, choice)
        );
    }

    private static long FillAll(
        MappingInput input,
        MappingSettings settings,
        CaptureView[] views,
        PatchGrid patches,
        SurfaceGrid surface,
        CellChoice choice,
        List<int>[] own,
        ParallelOptions parallel,
        IProgress<WorkProgress>? progress
    )
    {
        int tileRows = (input.Grid.Rows + settings.TileSize - 1) / settings.TileSize;
        int tileColumns = (input.Grid.Columns + settings.TileSize - 1) / settings.TileSize;
        using MapTiles tiles = new(input.Files, MapLabels.Of(input), settings, checked(tileRows * tileColumns));
        IReadOnlyList<FillTurn> order = FillOrder.Of(
            own,
            patches,
            settings.TileSize,
            (int)Math.Max(1, MostOpenBytes / tiles.TileBytes)
        );
        int[] expected = new int[tileRows * tileColumns];
        foreach (int tile in order.SelectMany(turn => turn.Tiles))
        {
            expected[tile]++;
        }

        for (int tile = 0; tile < expected.Length; tile++)
        {
            tiles.Expect(tile, expected[tile]);
        }

        int most = order.Count == 0 ? 0 : order.Max(turn => turn.Patches.Count);
        int next = -1;
        int done = 0;
        long shaded = 0;
        GarbageLimit garbage = new();
        Parallel.For(
            0,
            Math.Min(parallel.MaxDegreeOfParallelism, order.Count),
            parallel,
            _ =>
            {
                CaptureFill fill = new(patches, surface, choice, input, tiles, settings, most);
                for (int at = Interlocked.Increment(ref next); at < order.Count; at = Interlocked.Increment(ref next))
                {
                    FillTurn turn = order[at];
                    Dictionary<int, MapTile> open = turn.Tiles.ToDictionary(tile => tile, tiles.Open);
                    fill.Fill(views[turn.View], turn.View, turn.Patches, open, parallel.CancellationToken);
                    foreach (int tile in turn.Tiles)
                    {
                        tiles.Finish(tile);
                    }

                    garbage.Hold();

                    double share = (double)Interlocked.Increment(ref done) / order.Count;
                    progress?.Report(new WorkProgress("laying the map", 0.2 + (0.75 * share)));
                }

                Interlocked.Add(ref shaded, fill.CellsShaded);
            }
        );
        Parallel.For(
            0,
            expected.Length,
            parallel,
            tile =>
            {
                if (expected[tile] == 0)
                {
                    tiles.WriteEmpty(tile);
                }
            }
        );
        progress?.Report(new WorkProgress("laying the map", 0.97));
        tiles.Complete();
        progress?.Report(new WorkProgress("laying the map", 1));
        return shaded;
    }

    private static double MeanZenithDegrees(
        CaptureView[] views,
        PatchGrid patches,
        PatchCandidates candidates,
        CellChoice choice
    )
    {
        double sum = 0;
        long count = 0;
        for (int patch = 0; patch < patches.Count; patch++)
        {
            if (choice.WholeViewOf(patch) is var view and >= 0)
            {
                Vector3D up =
                    views[view].CentreInGrid
                    - new Vector3D(
                        patches.EastingOf(patch % patches.Columns * patches.Size),
                        patches.NorthingOf(patch / patches.Columns * patches.Size),
                        candidates.CentreHeights[patch]
                    );
                sum += Math.Atan2(Math.Sqrt((up.X * up.X) + (up.Y * up.Y)), up.Z);
                count++;
            }
        }

        return count == 0 ? double.NaN : Angle.FromRadians(sum / count).Degrees;
    }
}
