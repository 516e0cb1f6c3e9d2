using Hillrow.Earth;
using Hillrow.Imaging;

namespace Hillrow.Plants;

/// <summary>Outlines and measures all plants of a block, tile by tile.</summary>
internal sealed class CrownTiles(
    PlantsInput input,
    PlantsSettings settings,
    BlockScene scene,
    double spacing,
    double rowSpacing
)
{
    // Every tile reads a margin of a few metres as well: the larger the tile, the smaller its share.
    private const double TileMetres = 40;

    private double Cell => scene.Grid.CellSizeMetres;

    /// <summary>Fills the crown raster and gives each found plant its measures; those without canopy are left out.</summary>
    public IReadOnlyList<PlantRecord> Measure(
        IReadOnlyList<FoundPlant> plants,
        Span<int> crowns,
        CancellationToken cancel
    )
    {
        double reach = Math.Max(0.62 * rowSpacing, 0.9 * spacing);
        int side = Math.Max(32, (int)(TileMetres / Cell));
        int margin = (int)Math.Ceiling((reach + spacing) / Cell) + 4;
        int down = (scene.Window.Rows + side - 1) / side;
        int across = (scene.Window.Columns + side - 1) / side;
        List<int>[] owned = [.. Enumerable.Range(0, down * across).Select(_ => new List<int>())];
        for (int index = 0; index < plants.Count; index++)
        {
            int row = Math.Clamp((int)(plants[index].Y / Cell / side), 0, down - 1);
            int column = Math.Clamp((int)(plants[index].X / Cell / side), 0, across - 1);
            owned[(row * across) + column].Add(index);
        }

        double bright = SceneMaps.BrightLeaves(input, scene);
        TileCrowns?[] tiles = new TileCrowns?[owned.Length];
        Parallel.For(
            0,
            owned.Length,
            new ParallelOptions { MaxDegreeOfParallelism = settings.Threads, CancellationToken = cancel },
            () => new TileBuffers(),
            (at, _, buffers) =>
            {
                if (owned[at].Count > 0)
                {
                    tiles[at] = MeasureTile(
                        plants,
                        owned[at],
                        at / across * side,
                        at % across * side,
                        side,
                        margin,
                        reach,
                        bright,
                        buffers
                    );
                }

                return buffers;
            },
            _ => { }
        );
        List<PlantRecord> records = [];
        foreach (TileCrowns? tile in tiles)
        {
            if (tile is null)
            {
                continue;
            }

            foreach (CellRun run in tile.Cells)
            {
                run.Write(crowns);
            }

            records.AddRange(tile.Records);
        }

        records.Sort((a, b) => a.Index.CompareTo(b.Index));
        return records;
    }

    private TileCrowns MeasureTile(
        IReadOnlyList<FoundPlant> plants,
        List<int> own,
        int firstRow,
        int firstColumn,
        int side,
        int margin,
        double reach,
        double bright,
        TileBuffers buffers
    )
    {
        int row0 = Math.Max(0, firstRow - margin);
        int column0 = Math.Max(0, firstColumn - margin);
        int row1 = Math.Min(scene.Window.Rows, firstRow + side + margin);
        int column1 = Math.Min(scene.Window.Columns, firstColumn + side + margin);
        RasterWindow tile = new(row0, column0, row1 - row0, column1 - column0);
        List<(int Label, double X, double Y)> near = [];
        for (int index = 0; index < plants.Count; index++)
        {
            double row = plants[index].Y / Cell;
            double column = plants[index].X / Cell;
            if (row >= row0 && row < row1 && column >= column0 && column < column1)
            {
                near.Add((index + 1, plants[index].X, plants[index].Y));
            }
        }

        int[] labels = Crowns.Grow(scene, tile, near, spacing, reach, buffers);
        TileMaps maps = TileMaps.Read(input, scene, tile, buffers);
        TileCrowns result = new([], []);
        foreach (int index in own)
        {
            CrownMeasure? measure = CrownMeasure.Of(
                scene,
                settings,
                maps,
                labels,
                tile,
                index + 1,
                plants[index],
                reach,
                spacing,
                bright
            );
            if (measure is not null)
            {
                result.Records.Add(measure.Record);
                result.Cells.AddRange(measure.Cells);
            }
        }

        return result;
    }

    private sealed record TileCrowns(List<PlantRecord> Records, List<CellRun> Cells);
}

/// <summary>The maps over one tile, read once; the arrays may be longer than the tile.</summary>
internal sealed record TileMaps(
    IReadOnlyList<string> Names,
    IReadOnlyList<float[]> Bands,
    IReadOnlyList<float[]?> Sigmas,
    float[]? Shadow,
    float[]? HeightSigma,
    float[] SeenRed,
    float[] SeenNir
)
{
    public static TileMaps Read(PlantsInput input, BlockScene scene, RasterWindow tile, TileBuffers buffers)
    {
        RasterWindow window = new(
            scene.Window.Row + tile.Row,
            scene.Window.Column + tile.Column,
            tile.Rows,
            tile.Columns
        );
        GridGeometry grid = input.Reflectance.Grid;
        List<float[]> bands = [];
        List<float[]?> sigmas = [];
        for (int band = 0; band < input.Reflectance.BandNames.Count; band++)
        {
            float[] cells = Buffer($"band {band}");
            input.Reflectance.Read(band, window, cells);
            bands.Add(cells);
            sigmas.Add(
                input.Sigma is { } sigma && sigma.IndexOf(input.Reflectance.BandNames[band]) is { } at
                    ? On(sigma, at, $"sigma {band}")
                    : null
            );
        }

        return new TileMaps(
            input.Reflectance.BandNames,
            bands,
            sigmas,
            input.Shadow is { } shadow ? On(shadow, 0, "shadow") : null,
            input.HeightSigma is { } heightSigma ? On(heightSigma, 0, "height sigma") : null,
            Seen("red"),
            Seen("nir")
        );

        float[] Seen(string name)
        {
            int band = input.Reflectance.IndexOf(name)!.Value;
            return input.AsSeen is { } seen ? On(seen, band, "seen " + name) : bands[band];
        }

        float[] Buffer(string name) => buffers.Of<float>(name, (int)window.CellCount);

        float[] On(MapLayer layer, int band, string name)
        {
            float[] cells = Buffer(name);
            layer.ReadOn(grid, window, band, cells);
            return cells;
        }
    }
}
