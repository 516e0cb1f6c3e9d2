using Hillrow.Imaging;

namespace Hillrow.Plants;

/// <summary>One plant's measures from its crown's cells, with their uncertainties.</summary>
internal sealed record CrownMeasure(PlantRecord Record, IReadOnlyList<CellRun> Cells)
{
    // Where the crown's edge lies within an edge cell is known to about this share of a cell, the same way all round.
    private const double EdgeSigmaCells = 0.228;

    // The map was draped over the surface: where that smears a crown's edge, a view aslant sees past it. By surface cell and
    // by height of the crown; chosen on the development seeds of decision 44.
    private const double EdgeSigmaSurfaceCells = 0.1;
    private const double EdgeSigmaHeightShare = 0.0101;

    // What moves an edge moves it towards one side: of a common error of the diameter the long axis takes more, the short less.
    private const double LongShare = 1.35;
    private const double ShortShare = 0.84;

    // A stem is where its crown's middle is, but for this and this share of the crown's diameter.
    private const double StemSigmaMetres = 0.047;
    private const double StemSigmaShare = 0.024;

    // Of each metre along which two crowns touch, this share of the planting distance may belong to either.
    private const double TouchSigmaShare = 0.07;

    // Ground below a closed crown is interpolated; without a map of its uncertainty this is assumed.
    private const double GroundSigmaMetres = 0.03;

    // Leaves in full view: above most of the crown's mixed and shaded cells, below its few brightest.
    private const double LeafQuantile = 0.75;

    // How far the greenness of a cell wholly covered by leaves is known, as a share of cover. On rehearsed flights, seeds 1 and 21.
    private const double CoverSigma = 0.05;

    // Noise over several cells, which the block's cell-to-cell noise does not show, averages out in part as well: development
    // seeds of decision 44.
    private const double CommonShare = 0.85;

    // Over a whole crown what is common to its upper cells averages out further: by this, on the same seeds.
    private const double VolumeShare = 0.8;

    // A surface smeared by a Gaussian lowers a dome by half its variance times the dome's Laplacian: for a crown whose height
    // falls by a third from its middle to its shoulder about this, times height and (sigma / radius)².
    private const double DomeBend = 0.7;

    // A surface matched from pictures sees past the outermost leaves of a crown that lets light through, never above them: by
    // about this share of its height (docs/decisions/0044; rehearsed flights of 25 November were low by 3 %).
    private const double LostShare = 0.02;

    // The highest of a crown's fitted cells is one whose noise lifts it: by about this share of a cell's noise.
    private const double HighestNoiseShare = 0.5;

    // At least this share of a cell's told height sigma is common to the crown's cells.
    private const double LeastCommonShare = 0.5;

    // A crown wide and thin lets the light through: fewer sunlit pixels than this tell little of a band.
    private const int FewPixels = 10;

    // Pixels darker in the near infrared than this share of the crown's bright quarter lie in its own shade.
    private const double SelfShadeShare = 0.6;

    public static CrownMeasure? Of(
        BlockScene scene,
        PlantsSettings settings,
        TileMaps maps,
        int[] tileLabels,
        RasterWindow tile,
        int label,
        FoundPlant plant,
        double reach,
        double spacing,
        double brightLeaves
    )
    {
        double cell = scene.Grid.CellSizeMetres;
        if (OwnCells(tileLabels, tile, label, Around(tile, plant, reach, cell)) is not { } own)
        {
            return null;
        }

        // As small as the crown allows: what is done to every crown is done to few cells.
        int border = (int)Math.Ceiling(CrownShape.ClosingMetres / cell) + 2;
        int row0 = Math.Max(tile.Row, own.Row - border);
        int column0 = Math.Max(tile.Column, own.Column - border);
        RasterWindow window = new(
            row0,
            column0,
            Math.Min(tile.Row + tile.Rows, own.Row + own.Rows + border) - row0,
            Math.Min(tile.Column + tile.Columns, own.Column + own.Columns + border) - column0
        );
        int[] labels = new int[(int)window.CellCount];
        float[] heights = scene.Height is null ? [] : new float[labels.Length];
        List<int> inTile = [];
        List<int> inBlock = [];
        bool cut = false;
        for (int row = 0; row < window.Rows; row++)
        {
            for (int column = 0; column < window.Columns; column++)
            {
                int at = (row * window.Columns) + column;
                int tileAt = ((window.Row + row - tile.Row) * tile.Columns) + window.Column + column - tile.Column;
                int blockAt = ((window.Row + row) * scene.Window.Columns) + window.Column + column;
                labels[at] = tileLabels[tileAt];
                if (scene.Height is { } height)
                {
                    heights[at] = height[blockAt];
                }

                if (labels[at] == label)
                {
                    inTile.Add(tileAt);
                    inBlock.Add(blockAt);
                    cut |= IsCut(scene, window.Row + row, window.Column + column);
                }
            }
        }

        (byte[] foliage, float[] cover) = Foliage(scene, labels, window, label, inTile, inBlock);
        CrownShape shape = CrownShape.Of(foliage, cover, labels, window, label, heights, cell);
        List<int> sunlit = Sunlit(maps, inTile, settings.ShadowLimit, out double shadowShare);
        sunlit = Inner(sunlit, shape, window, tile);
        PlantRecord record = new(label, plant.Row, plant.Slot, scene.PlaceOf(shape.X, shape.Y))
        {
            ShadowShare = shadowShare,
            SunlitPixels = sunlit.Count,
            Values = [.. Values(maps, sunlit), LitNdvi(maps, Inner(inTile, shape, window, tile), brightLeaves)],
        };
        double highest = scene.Height is { } heightOf ? inBlock.Max(at => (double)heightOf[at]) : 0;
        record = WithSize(record, scene, shape, spacing, highest);
        bool isHigh = scene.Height is not null && 2 * inBlock.Count(at => scene.NoHeight[at] != 0) < inBlock.Count;
        record = isHigh ? WithHeight(record, scene, maps, inTile, inBlock, shape) : record;
        PlantQuality quality = plant.Quality;
        quality |=
            shape.TouchingCells > 0.33 * (shape.TouchingCells + shape.EdgeCells)
                ? PlantQuality.Touching
                : PlantQuality.Good;
        quality |= shadowShare > 0.5 ? PlantQuality.Shadowed : PlantQuality.Good;
        quality |= cut ? PlantQuality.Cut : PlantQuality.Good;
        quality |= isHigh ? PlantQuality.Good : PlantQuality.NoHeight;
        quality |= sunlit.Count < FewPixels ? PlantQuality.FewPixels : PlantQuality.Good;
        return new CrownMeasure(record with { Quality = quality }, CellRun.Of(inBlock, label));
    }

    /// <summary>
    /// The crown's cells that are nearer to its own leaves' greenness than to the bare ground's: where a lens mixes both,
    /// the middle is where the edge lies, whatever the surface model smears over it. Cells without leaves leave the lists.
    /// </summary>
    private static (byte[] Seen, float[] Cover) Foliage(
        BlockScene scene,
        int[] labels,
        RasterWindow window,
        int label,
        List<int> inTile,
        List<int> inBlock
    )
    {
        float[] greens = [.. inBlock.Select(at => scene.Vegetation[at])];
        Array.Sort(greens);
        float leaf = greens[(int)(LeafQuantile * (greens.Length - 1))];
        float least = Math.Min(leaf, (float)((leaf + scene.BareGreenness) / 2));
        byte[] foliage = new byte[labels.Length];
        int kept = 0;
        int next = 0;
        for (int at = 0; at < labels.Length; at++)
        {
            if (labels[at] != label)
            {
                continue;
            }

            if (scene.Vegetation[inBlock[next]] >= least)
            {
                foliage[at] = 1;
                inBlock[kept] = inBlock[next];
                inTile[kept] = inTile[next];
                kept++;
            }

            next++;
        }

        inBlock.RemoveRange(kept, inBlock.Count - kept);
        inTile.RemoveRange(kept, inTile.Count - kept);
        float span = Math.Max(0.05f, leaf - (float)scene.BareGreenness);
        float[] cover = new float[labels.Length];
        for (int at = 0; at < cover.Length; at++)
        {
            int block =
                ((window.Row + (at / window.Columns)) * scene.Window.Columns) + window.Column + (at % window.Columns);
            cover[at] = Math.Clamp((scene.Vegetation[block] - (float)scene.BareGreenness) / span, 0, 1);
        }

        return (foliage, cover);
    }

    private static double EdgeSigma(BlockScene scene, double topMetres) =>
        Math.Sqrt(
            Square(EdgeSigmaCells * scene.Grid.CellSizeMetres)
                + Square(EdgeSigmaSurfaceCells * scene.SurfaceCellMetres)
                + (scene.SurfaceCellMetres > 0 ? Square(EdgeSigmaHeightShare * topMetres) : 0)
        );

    private static double FoliageSigma(CrownShape shape) =>
        Math.Sqrt(Square(CoverSigma) + ((1 - shape.Cover) * shape.Cover / Math.Max(1, shape.Cells)));

    /// <summary>Smallest window of the block that holds the crown's cells; null when it has none.</summary>
    private static RasterWindow? OwnCells(int[] tileLabels, RasterWindow tile, int label, RasterWindow within)
    {
        int top = int.MaxValue;
        int bottom = int.MinValue;
        int left = int.MaxValue;
        int right = int.MinValue;
        for (int row = within.Row; row < within.Row + within.Rows; row++)
        {
            ReadOnlySpan<int> cells = tileLabels.AsSpan(
                ((row - tile.Row) * tile.Columns) + within.Column - tile.Column,
                within.Columns
            );
            int first = cells.IndexOf(label);
            if (first >= 0)
            {
                top = Math.Min(top, row);
                bottom = row;
                left = Math.Min(left, within.Column + first);
                right = Math.Max(right, within.Column + cells.LastIndexOf(label));
            }
        }

        return top == int.MaxValue ? null : new RasterWindow(top, left, bottom - top + 1, right - left + 1);
    }

    private static RasterWindow Around(RasterWindow tile, FoundPlant plant, double reach, double cell)
    {
        int row0 = Math.Max(tile.Row, (int)Math.Floor((plant.Y - reach) / cell) - 2);
        int column0 = Math.Max(tile.Column, (int)Math.Floor((plant.X - reach) / cell) - 2);
        int row1 = Math.Min(tile.Row + tile.Rows, (int)Math.Ceiling((plant.Y + reach) / cell) + 2);
        int column1 = Math.Min(tile.Column + tile.Columns, (int)Math.Ceiling((plant.X + reach) / cell) + 2);
        return new RasterWindow(row0, column0, row1 - row0, column1 - column0);
    }

    private static bool IsCut(BlockScene scene, int row, int column)
    {
        if (row == 0 || column == 0 || row == scene.Window.Rows - 1 || column == scene.Window.Columns - 1)
        {
            return true;
        }

        int at = (row * scene.Window.Columns) + column;
        return scene.Missing[at - 1] != 0
            || scene.Missing[at + 1] != 0
            || scene.Missing[at - scene.Window.Columns] != 0
            || scene.Missing[at + scene.Window.Columns] != 0;
    }

    private static PlantRecord WithSize(
        PlantRecord record,
        BlockScene scene,
        CrownShape shape,
        double spacing,
        double topMetres
    )
    {
        double cell = scene.Grid.CellSizeMetres;
        double area = shape.Cells * cell * cell;

        // Steps along cell edges overstate a smooth outline by about 4/π.
        double free = shape.EdgeCells * cell * Math.PI / 4;
        double touching = shape.TouchingCells * cell * Math.PI / 4;
        double areaSigma = Math.Sqrt(
            Square(free * EdgeSigma(scene, topMetres))
                + Square(touching * TouchSigmaShare * spacing)
                + Square(0.01 * area)
        );
        double diameter = Math.Sqrt(4 * area / Math.PI);
        double diameterSigma = areaSigma / Math.Max(area, cell * cell) * diameter / 2;
        double touchShare = touching / Math.Max(1e-9, free + touching);
        double borderSigma = touchShare * TouchSigmaShare * spacing;
        return record with
        {
            CrownAreaSquareMetres = new Measured(area, areaSigma),
            LongDiameterMetres = new Measured(shape.LongMetres, LongShare * diameterSigma),
            ShortDiameterMetres = new Measured(
                shape.ShortMetres,
                Math.Sqrt(Square(ShortShare * diameterSigma) + Square(borderSigma))
            ),
            FoliageDensity = new Measured(shape.Cover, FoliageSigma(shape)),
            PlaceSigmaMetres = Math.Sqrt(
                Square(0.3 * cell) + Square(StemSigmaMetres) + Square(StemSigmaShare * diameter) + Square(borderSigma)
            ),
        };
    }

    private static PlantRecord WithHeight(
        PlantRecord record,
        BlockScene scene,
        TileMaps maps,
        List<int> inTile,
        List<int> inBlock,
        CrownShape shape
    )
    {
        if (scene.Height is not { } height)
        {
            return record;
        }

        double cell = scene.Grid.CellSizeMetres;
        double[] sorted = [.. inBlock.Where(at => scene.NoHeight[at] == 0).Select(at => (double)height[at])];
        double volume =
            (sorted.Average() * inBlock.Count * cell * cell) + CrownTop.SpiltVolume(scene, height, inBlock, shape);
        Array.Sort(sorted);
        double top = CrownTop.Of(scene, inBlock);
        double upper = Numerics.Statistics.Quantiles.QuantileOfSorted(sorted, 0.9);
        double told = 0;
        foreach (int at in inTile)
        {
            double sigma = maps.HeightSigma is { } map ? map[at] : double.NaN;
            told += double.IsFinite(sigma)
                ? sigma
                : Math.Sqrt(Square(GroundSigmaMetres) + Square(scene.HeightNoiseMetres));
        }

        told /= inTile.Count;
        double noise = scene.HeightNoiseMetres;

        // What is told of a cell holds its own noise, which averages out over a crown; the rest is common to its cells.
        double stated =
            CommonShare * Math.Sqrt(Math.Max(Square(told) - Square(noise), Square(LeastCommonShare * told)));
        double surfaceCell = Math.Max(cell, scene.SurfaceCellMetres);
        double radius = Math.Max(cell, (record.LongDiameterMetres.Value + record.ShortDiameterMetres.Value) / 4);
        double lowered = Math.Min(0.1, DomeBend * Square(scene.SurfaceCellMetres / radius)) * top;
        double lost = scene.SurfaceCellMetres > 0 ? LostShare * upper : 0;
        top += lowered + lost - (scene.SurfaceCellMetres > 0 ? HighestNoiseShare * noise : 0);
        upper += lowered + lost;
        double topCells = Math.Max(1, Square(2 * CrownTop.ReachMetres / surfaceCell));
        double upperCells = Math.Max(1, 0.1 * sorted.Length * Square(cell / surfaceCell));
        double topSigma = Math.Sqrt(Square(stated) + (Square(noise) / topCells) + Square(lowered / 2));
        double area = record.CrownAreaSquareMetres.Value;
        double mean = volume / Math.Max(area, cell * cell);
        double diameter = (record.LongDiameterMetres.Value + record.ShortDiameterMetres.Value) / 2;
        double diameterSigma = record.LongDiameterMetres.Sigma / LongShare;
        double stretch = top / Math.Max(diameter, cell);
        return record with
        {
            TopHeightMetres = new Measured(top, topSigma),
            UpperHeightMetres = new Measured(
                upper,
                Math.Sqrt(Square(stated) + (Square(noise) / upperCells) + Square(lowered / 2))
            ),
            VolumeCubicMetres = new Measured(
                volume,
                Math.Sqrt(Square(VolumeShare * area * stated) + Square(0.5 * mean * record.CrownAreaSquareMetres.Sigma))
            ),
            Stretch = new Measured(
                stretch,
                stretch
                    * Math.Sqrt(
                        Square(topSigma / Math.Max(top, 0.05)) + Square(diameterSigma / Math.Max(diameter, cell))
                    )
            ),
        };
    }

    private static List<int> Sunlit(TileMaps maps, List<int> cells, double shadowLimit, out double shadowShare)
    {
        int nir = CrownValues.IndexOf(maps.Names, "nir");
        float[] light = maps.Bands[nir];
        float[] sorted = [.. cells.Select(at => light[at]).Where(float.IsFinite).Order()];
        double floor = sorted.Length == 0 ? 0 : SelfShadeShare * sorted[(int)(0.75 * (sorted.Length - 1))];
        int dark = 0;
        List<int> sunlit = [];
        foreach (int at in cells)
        {
            bool shadowed = maps.Shadow is { } shadow && shadow[at] > shadowLimit;
            dark += shadowed ? 1 : 0;
            if (!shadowed && light[at] >= floor)
            {
                sunlit.Add(at);
            }
        }

        shadowShare = maps.Shadow is null ? double.NaN : (double)dark / cells.Count;
        return sunlit;
    }

    // A lens mixes the outermost ring with what lies beside the crown; small crowns have little else.
    private static List<int> Inner(List<int> sunlit, CrownShape shape, RasterWindow window, RasterWindow tile)
    {
        List<int> inner =
        [
            .. sunlit.Where(at =>
                shape.IsInner(
                    ((tile.Row + (at / tile.Columns) - window.Row) * window.Columns)
                        + tile.Column
                        + (at % tile.Columns)
                        - window.Column,
                    window.Columns
                )
            ),
        ];
        return inner.Count >= FewPixels ? inner : sunlit;
    }

    private static IReadOnlyList<CrownValue> Values(TileMaps maps, List<int> sunlit)
    {
        List<double[]> bands = [];
        List<double[]> sigmas = [];
        for (int band = 0; band < maps.Bands.Count; band++)
        {
            float[] map = maps.Bands[band];
            bands.Add([.. sunlit.Select(at => (double)map[at])]);
            sigmas.Add(maps.Sigmas[band] is { } sigma ? [.. sunlit.Select(at => (double)sigma[at])] : []);
        }

        return CrownValues.Of(bands, sigmas, maps.Names);
    }

    /// <summary>See <see cref="LitLeaves"/>; nothing where too few of the crown's pixels lie in full sun.</summary>
    private static CrownValue LitNdvi(TileMaps maps, List<int> cells, double brightLeaves)
    {
        float[] light = [.. cells.Select(at => maps.SeenNir[at]).Where(float.IsFinite)];
        double floor = LitLeaves.Floor(LitLeaves.BrightOf(light), brightLeaves);
        int[] lit = [.. cells.Where(at => maps.SeenNir[at] >= floor)];
        double[][] sigmas =
        [
            .. new[] { "red", "nir" }
                .Select(name => maps.Sigmas[CrownValues.IndexOf(maps.Names, name)])
                .Select(map => map is null ? [] : lit.Select(at => (double)map[at]).ToArray()),
        ];
        return CrownValues.Index(
            "NDVI lit leaves",
            lit.Length < LitLeaves.FewestPixels ? [] : [.. lit.Select(at => (double)maps.SeenNir[at])],
            lit.Length < LitLeaves.FewestPixels ? [] : [.. lit.Select(at => (double)maps.SeenRed[at])],
            sigmas[1],
            sigmas[0]
        );
    }

    private static double Square(double value) => value * value;
}
