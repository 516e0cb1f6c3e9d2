using System.Buffers;
using System.Runtime.Intrinsics;
using Hillrow.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>How a frame is rendered.</summary>
/// <param name="Samples">Rays per pixel; a square number, at least 1; the rehearsal promises 4 or more.</param>
/// <param name="Seed">Of the flight.</param>
/// <param name="CaptureNumber">Draws change from capture to capture.</param>
/// <param name="OfSurface">
/// False: what arrives at the lens, haze and clouds included, over the clear-sky irradiance. True: the surface's own
/// reflectance factor towards the lens, over the irradiance that its place has at this moment.
/// </param>
/// <param name="Threads">The picture does not depend on it.</param>
public sealed record FrameSettings(int Samples, ulong Seed, int CaptureNumber, bool OfSurface, int Threads)
{
    /// <summary>Casts every ray by itself: slower, the same picture but for rays that graze an edge.</summary>
    public bool OneByOne { get; init; }
}

/// <summary>Renders one lens's view of a scene by casting rays.</summary>
public sealed class FrameRenderer
{
    internal const int TileColumns = 192;
    internal const int TileRows = 32;

    public FrameRenderer(ModelledScene scene, RigLens lens, int columns = TrueRig.Columns, int rows = TrueRig.Rows)
    {
        ArgumentNullException.ThrowIfNull(scene);
        ArgumentNullException.ThrowIfNull(lens);
        Scene = scene;
        Lens = lens;
        Columns = columns;
        Rows = rows;
        BandIndex = RigBand.Five.ToList().IndexOf(lens.Band);
        Lattice = new LensLattice(lens.Lens, columns, rows);
    }

    internal ModelledScene Scene { get; }

    internal RigLens Lens { get; }

    internal int BandIndex { get; }

    internal LensLattice Lattice { get; }

    internal int Columns { get; }

    internal int Rows { get; }

    /// <summary>
    /// Renders π × radiance / clear-sky irradiance at the lens, antialiased with the lens's blur.
    /// </summary>
    /// <param name="pose">Of the rig at mid exposure; must look down (no ray near the horizon).</param>
    /// <param name="travelMetres">Motion of the rig while the shutter is open.</param>
    /// <param name="seconds">Since the start of the flight: places the clouds.</param>
    /// <param name="factors">Receives rows × columns.</param>
    /// <param name="panel">A reference panel that lies in the scene.</param>
    public void Render(
        RigPose pose,
        Vector3D travelMetres,
        double seconds,
        WindSway wind,
        FrameSettings settings,
        float[] factors,
        PanelBoard? panel = null
    ) => Render(pose, travelMetres, seconds, wind, settings, factors, panel, tally: null);

    /// <param name="side">Samples along a pixel's edge.</param>
    internal FrameTally Tally(int side) => new(Scene, Columns, Rows, side);

    internal void Render(
        RigPose pose,
        Vector3D travelMetres,
        double seconds,
        WindSway wind,
        FrameSettings settings,
        float[] factors,
        PanelBoard? panel,
        FrameTally? tally
    )
    {
        ArgumentNullException.ThrowIfNull(wind);
        ArgumentNullException.ThrowIfNull(settings);
        ArgumentNullException.ThrowIfNull(factors);
        if (factors.Length != Columns * Rows)
        {
            throw new ArgumentException($"{factors.Length} values for {Columns} x {Rows} pixels.", nameof(factors));
        }

        int side = (int)Math.Round(Math.Sqrt(settings.Samples));
        if (side * side != settings.Samples)
        {
            throw new ArgumentException($"{settings.Samples} samples is not a square number.", nameof(settings));
        }

        LensBlur blur = new(Lens.BlurPixels, side);
        SampleGrid grid = SampleGrid.Of(Columns, Rows, side);
        FrameView view = new(this, pose, travelMetres, seconds, wind, settings, grid, panel);
        ParallelOptions parallel = new() { MaxDegreeOfParallelism = settings.Threads };
        float[] samples = ArrayPool<float>.Shared.Rent(grid.Columns * grid.Rows);
        int acrossTiles = (grid.Columns + TileColumns - 1) / TileColumns;
        int downTiles = (grid.Rows + TileRows - 1) / TileRows;
        Parallel.For(
            0,
            acrossTiles * downTiles,
            parallel,
            () => tally?.Begin(),
            (tile, _, sums) =>
            {
                view.Tile(tile % acrossTiles * TileColumns, tile / acrossTiles * TileRows, samples, sums);
                return sums;
            },
            sums =>
            {
                if (sums is not null)
                {
                    tally!.End(sums);
                }
            }
        );
        Parallel.For(
            0,
            Rows,
            parallel,
            () => new float[grid.Columns],
            (row, _, scratch) =>
            {
                blur.Gather(
                    samples.AsSpan(row * side * grid.Columns, 3 * side * grid.Columns),
                    grid.Columns,
                    scratch,
                    factors.AsSpan(row * Columns, Columns)
                );
                return scratch;
            },
            _ => { }
        );
        ArrayPool<float>.Shared.Return(samples);
    }
}
