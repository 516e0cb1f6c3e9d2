using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Mapping;

/// <summary>Brings one capture's cells into the map: each frame is read once. One per worker thread.</summary>
internal sealed class CaptureFill
{
    /// <summary>Pixels around a place that sampling may touch, rounding included.</summary>
    private const float ResamplingReach = 4;

    private readonly PatchGrid patches;
    private readonly SurfaceGrid surface;
    private readonly CellChoice choice;
    private readonly IReflectanceFrames frames;
    private readonly IFrameNormalisation? normalisation;
    private readonly ValueCoding? coding;
    private readonly MappingSettings settings;
    private readonly MapTiles tiles;
    private readonly PatchProjection projection;
    private readonly float[] values;
    private readonly float[] sigmas;
    private float[] frame = [];
    private float[] frameSigma = [];
    private readonly float[] heights;
    private readonly float[] columns;
    private readonly float[] rows;
    private ColumnSpan[] wanted = [];

    /// <summary>Of the capture that is being laid: by its patches, then bands; null where the angles are not known.</summary>
    private CoverFactors?[] factors = [];

    /// <param name="patches">Of the map.</param>
    /// <param name="surface">Seen from above.</param>
    /// <param name="choice">Whose cells are whose.</param>
    /// <param name="input">Frames.</param>
    /// <param name="tiles">Of the map.</param>
    /// <param name="settings">How.</param>
    /// <param name="mostPatches">Of one call: room is made once, as large arrays let go of pile up unused.</param>
    public CaptureFill(
        PatchGrid patches,
        SurfaceGrid surface,
        CellChoice choice,
        MappingInput input,
        MapTiles tiles,
        MappingSettings settings,
        int mostPatches
    )
    {
        this.patches = patches;
        this.surface = surface;
        this.choice = choice;
        frames = input.Frames;
        normalisation = input.Normalisation;
        coding = input.Coding;
        this.tiles = tiles;
        this.settings = settings;
        int cells = patches.Size * patches.Size;
        projection = new PatchProjection(patches.Size);
        values = new float[cells];
        sigmas = new float[cells];
        heights = GC.AllocateUninitializedArray<float>(mostPatches * cells);
        columns = GC.AllocateUninitializedArray<float>(mostPatches * cells);
        rows = GC.AllocateUninitializedArray<float>(mostPatches * cells);
    }

    /// <summary>Cells put into the shade so far.</summary>
    public long CellsShaded { get; private set; }

    /// <summary>Tiles that patches lie in, by their number; patches never straddle tiles.</summary>
    public static int TileOf(PatchGrid patches, int tileSize, int patch)
    {
        int perTile = tileSize / patches.Size;
        int tileColumns = (patches.Grid.Columns + tileSize - 1) / tileSize;
        return (patch / patches.Columns / perTile * tileColumns) + (patch % patches.Columns / perTile);
    }

    /// <param name="view">The capture.</param>
    /// <param name="viewAt">Its position in the list of views.</param>
    /// <param name="own">Patches with cells of it.</param>
    /// <param name="open">The tiles of those patches, by number.</param>
    /// <param name="cancel">Asked between bands and patches.</param>
    public void Fill(
        CaptureView view,
        int viewAt,
        List<int> own,
        Dictionary<int, MapTile> open,
        CancellationToken cancel
    )
    {
        int cells = patches.Size * patches.Size;
        PatchPlace[] places = new PatchPlace[own.Count];
        for (int at = 0; at < own.Count; at++)
        {
            cancel.ThrowIfCancellationRequested();
            int patchRow = own[at] / patches.Columns;
            int patchColumn = own[at] % patches.Columns;
            places[at] = patches.PlaceOf(patchRow, patchColumn);
            patches.HeightsOf(surface, patchRow, patchColumn, heights.AsSpan(at * cells, cells));
        }

        factors = new CoverFactors?[own.Count * view.Bands.Length];
        for (int band = 0; band < view.Bands.Length; band++)
        {
            cancel.ThrowIfCancellationRequested();
            FillBand(view, viewAt, band, own, places, open, cancel);
        }

        for (int at = 0; at < own.Count; at++)
        {
            cancel.ThrowIfCancellationRequested();
            PatchTarget target = Target(own[at], open);
            FillAngles(view, viewAt, own[at], heights.AsSpan(at * cells, cells), target);
            if (normalisation is not null)
            {
                StoreFactors(own[at], viewAt, factors.AsSpan(at * view.Bands.Length, view.Bands.Length), target);
            }
        }
    }

    private void FillBand(
        CaptureView view,
        int viewAt,
        int band,
        List<int> own,
        PatchPlace[] places,
        Dictionary<int, MapTile> open,
        CancellationToken cancel
    )
    {
        BandView seen = view.Bands[band];
        int pixels = seen.Rows * seen.Columns;
        int cells = patches.Size * patches.Size;
        Grow(ref frame, pixels);
        Grow(ref frameSigma, pixels);
        Span<float> reflectance = frame.AsSpan(0, pixels);
        Span<float> sigma = frameSigma.AsSpan(0, pixels);
        wanted = wanted.Length == seen.Rows ? wanted : new ColumnSpan[seen.Rows];
        wanted.AsSpan().Clear();
        for (int at = 0; at < own.Count; at++)
        {
            cancel.ThrowIfCancellationRequested();
            Span<float> across = columns.AsSpan(at * cells, cells);
            Span<float> down = rows.AsSpan(at * cells, cells);
            projection.Project(seen, places[at], heights.AsSpan(at * cells, cells), across, down);
            Want(seen, across, down);
        }

        frames.LoadPart(view.Id, frames.Bands[band], wanted, reflectance, sigma);
        for (int at = 0; at < own.Count; at++)
        {
            cancel.ThrowIfCancellationRequested();
            ReadOnlySpan<float> across = columns.AsSpan(at * cells, cells);
            ReadOnlySpan<float> down = rows.AsSpan(at * cells, cells);
            if (settings.Resampling == ResamplingMethod.Bicubic)
            {
                FrameSampling.Bicubic(reflectance, seen.Rows, seen.Columns, across, down, values);
            }
            else
            {
                FrameSampling.Bilinear(reflectance, seen.Rows, seen.Columns, across, down, values);
            }

            FrameSampling.Nearest(sigma, seen.Rows, seen.Columns, across, down, sigmas);
            PatchTarget target = Target(own[at], open);
            int plane = target.Tile.Rows * target.Tile.Columns * band;
            Store(own[at], viewAt, target, plane);
            factors[(at * view.Bands.Length) + band] =
                normalisation?.IsNormalised(view.Id, frames.Bands[band]) == true
                    ? FactorsOf(view.Id, frames.Bands[band], across, down)
                    : null;
        }
    }

    /// <summary>Adds the pixels around a patch's places to those that are wanted of the frame.</summary>
    private void Want(BandView seen, ReadOnlySpan<float> across, ReadOnlySpan<float> down)
    {
        float left = float.PositiveInfinity;
        float right = float.NegativeInfinity;
        float top = float.PositiveInfinity;
        float bottom = float.NegativeInfinity;
        for (int cell = 0; cell < across.Length; cell++)
        {
            // NaN compares false: places that are not seen ask for nothing.
            left = across[cell] < left ? across[cell] : left;
            right = across[cell] > right ? across[cell] : right;
            top = down[cell] < top ? down[cell] : top;
            bottom = down[cell] > bottom ? down[cell] : bottom;
        }

        if (!(left < seen.Columns && right > 0 && top < seen.Rows && bottom > 0))
        {
            return;
        }

        ColumnSpan columnsSeen = new(
            (int)Math.Max(0, left - ResamplingReach),
            (int)Math.Min(seen.Columns, right + ResamplingReach)
        );
        int last = (int)Math.Min(seen.Rows, bottom + ResamplingReach);
        for (int row = (int)Math.Max(0, top - ResamplingReach); row < last; row++)
        {
            wanted[row] = wanted[row].Joined(columnsSeen);
        }
    }

    private void Store(int patch, int viewAt, PatchTarget target, int plane)
    {
        bool whole = choice.WholeViewOf(patch) == viewAt;
        // Unchecked: the target lies inside the tile by construction.
        unchecked
        {
            for (int row = 0; row < target.Rows; row++)
            {
                int to = plane + ((target.Row + row) * target.Tile.Columns) + target.Column;
                int from = row * patches.Size;
                for (int column = 0; column < target.Columns; column++)
                {
                    if (whole || choice.Takes(patch, from + column, viewAt))
                    {
                        float value = values[from + column];
                        float sigma = sigmas[from + column];
                        ushort code = coding is null ? ReflectanceCode.Encode(value) : coding.Encode(value);
                        target.Tile.Reflectance[to + column] = code;
                        target.Tile.Sigma[to + column] =
                            code == ReflectanceCode.Missing ? (byte)0
                            : coding is null ? SigmaCode.Encode(sigma)
                            : coding.EncodeSigma(sigma);
                    }
                }
            }
        }
    }

    /// <summary>One pair of factors for all cells of the capture in the patch: over half a metre they change by a few thousandths.</summary>
    private CoverFactors FactorsOf(string capture, string band, ReadOnlySpan<float> across, ReadOnlySpan<float> down)
    {
        int size = patches.Size;
        int near = ((size / 2) * size) + (size / 2);
        for (int cell = 0; float.IsNaN(across[near]) && cell < across.Length; cell++)
        {
            near = float.IsNaN(across[cell]) ? near : cell;
        }

        return normalisation!.FactorsAt(capture, band, new PixelPoint(across[near], down[near]));
    }

    /// <summary>Each cell's factor by its own cover, once all bands of the capture are there.</summary>
    private void StoreFactors(int patch, int viewAt, ReadOnlySpan<CoverFactors?> byBand, PatchTarget target)
    {
        bool whole = choice.WholeViewOf(patch) == viewAt;
        int plane = target.Tile.Rows * target.Tile.Columns;
        for (int row = 0; row < target.Rows; row++)
        {
            int to = ((target.Row + row) * target.Tile.Columns) + target.Column;
            for (int column = 0; column < target.Columns; column++)
            {
                if (!whole && !choice.Takes(patch, (row * patches.Size) + column, viewAt))
                {
                    continue;
                }

                float share = normalisation!.CoverBands is { } cover
                    ? CoverShare.Of(
                        ReflectanceOf(target.Tile.Reflectance[(plane * cover.Red) + to + column]),
                        ReflectanceOf(target.Tile.Reflectance[(plane * cover.Infrared) + to + column])
                    )
                    : CoverShare.Unknown;
                for (int band = 0; band < byBand.Length; band++)
                {
                    target.Tile.NadirFactor[(plane * band) + to + column] = byBand[band] is { } factor
                        ? NadirFactorCode.Encode(factor.At(share))
                        : NadirFactorCode.Missing;
                }
            }
        }
    }

    private static float ReflectanceOf(ushort code) =>
        code == ReflectanceCode.Missing ? float.NaN : (float)(code * ReflectanceCode.Scale);

    private void FillAngles(
        CaptureView view,
        int viewAt,
        int patch,
        ReadOnlySpan<float> patchHeights,
        PatchTarget target
    )
    {
        int size = patches.Size;
        int firstRow = patch / patches.Columns * size;
        int firstColumn = patch % patches.Columns * size;
        float middle = patchHeights[((size / 2) * size) + (size / 2)];
        Vector3D towardsCamera =
            view.CentreInGrid
            - new Vector3D(
                patches.EastingOf(firstColumn + (size / 2)),
                patches.NorthingOf(firstRow + (size / 2)),
                float.IsNaN(middle) ? FirstHeight(patchHeights) : middle
            );
        (byte zenith, byte azimuth) = Angles(towardsCamera, view.TowardsSunInGrid);
        int plane = target.Tile.Rows * target.Tile.Columns;
        for (int row = 0; row < target.Rows; row++)
        {
            for (int column = 0; column < target.Columns; column++)
            {
                int cell = (row * size) + column;
                if (!choice.Takes(patch, cell, viewAt))
                {
                    continue;
                }

                int to = ((target.Row + row) * target.Tile.Columns) + target.Column + column;
                target.Tile.Capture[to] = (ushort)view.Index;
                target.Tile.View[to] = zenith;
                target.Tile.View[plane + to] = azimuth;
                if (view.TowardsSunInGrid is { } sun)
                {
                    bool sunlit = surface.IsClear(
                        patches.EastingOf(firstColumn + column),
                        patches.NorthingOf(firstRow + row),
                        patchHeights[cell] + settings.ShadowToleranceMetres,
                        sun.X,
                        sun.Y,
                        sun.Z
                    );
                    target.Tile.Shadow[to] = sunlit ? (byte)0 : (byte)1;
                    CellsShaded += sunlit ? 0 : 1;
                }
            }
        }
    }

    private static float FirstHeight(ReadOnlySpan<float> heights)
    {
        foreach (float height in heights)
        {
            if (!float.IsNaN(height))
            {
                return height;
            }
        }

        return 0;
    }

    private static (byte Zenith, byte Azimuth) Angles(Vector3D towardsCamera, Vector3D? towardsSun)
    {
        double across = Math.Sqrt((towardsCamera.X * towardsCamera.X) + (towardsCamera.Y * towardsCamera.Y));
        double zenith = Angle.FromRadians(Math.Atan2(across, towardsCamera.Z)).Degrees;
        byte azimuth = MapLabels.NoByte;
        if (towardsSun is { } sun)
        {
            double turn = Math.Atan2(towardsCamera.X, towardsCamera.Y) - Math.Atan2(sun.X, sun.Y);
            azimuth = (byte)Math.Round(Math.Abs(Angle.FromRadians(turn).WrappedSigned().Degrees));
        }

        return ((byte)Math.Min(254, Math.Round(zenith / MapLabels.ZenithStepDegrees)), azimuth);
    }

    private PatchTarget Target(int patch, Dictionary<int, MapTile> open)
    {
        int perTile = settings.TileSize / patches.Size;
        MapTile tile = open[TileOf(patches, settings.TileSize, patch)];
        int row = patch / patches.Columns % perTile * patches.Size;
        int column = patch % patches.Columns % perTile * patches.Size;
        return new PatchTarget(
            tile,
            row,
            column,
            Math.Min(patches.Size, tile.Rows - row),
            Math.Min(patches.Size, tile.Columns - column)
        );
    }

    private static void Grow(ref float[] array, int length)
    {
        if (array.Length < length)
        {
            array = GC.AllocateUninitializedArray<float>(length);
        }
    }

    /// <summary>Where a patch lies in its tile.</summary>
    private readonly record struct PatchTarget(MapTile Tile, int Row, int Column, int Rows, int Columns);
}
