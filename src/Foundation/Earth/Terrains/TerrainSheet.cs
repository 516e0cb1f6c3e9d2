namespace Hillrow.Earth;

/// <summary>Tiles that share one lattice (same system, same steps, posts in step), read as if they were one.</summary>
internal sealed class TerrainSheet
{
    /// <summary>Posts this near (in steps) are the same post: file headers round.</summary>
    private const double InStep = 0.02;

    private readonly List<(TerrainTile Tile, int Row, int Column)> placed = [];
    private readonly TerrainTile first;

    public TerrainSheet(TerrainTile first)
    {
        this.first = first;
        placed.Add((first, 0, 0));
    }

    public ReferenceSystem System => first.System;

    public double PostDistanceMetres => first.PostDistanceMetres;

    public double MiddleEast => first.FirstEast + (first.StepEast * first.Columns / 2);

    /// <summary>Takes the tile when its posts fall on this sheet's lattice.</summary>
    public bool TryAdd(TerrainTile tile)
    {
        if (
            tile.System != first.System
            || Math.Abs((tile.StepEast / first.StepEast) - 1) * tile.Columns > InStep
            || Math.Abs((tile.StepNorth / first.StepNorth) - 1) * tile.Rows > InStep
        )
        {
            return false;
        }

        double column = first.ColumnOf(tile.FirstEast);
        double row = first.RowOf(tile.FirstNorth);
        if (
            Math.Abs(column) > 1e8
            || Math.Abs(row) > 1e8
            || Math.Abs(column - Math.Round(column)) > InStep
            || Math.Abs(row - Math.Round(row)) > InStep
        )
        {
            return false;
        }

        placed.Add((tile, (int)Math.Round(row), (int)Math.Round(column)));
        return true;
    }

    /// <summary>Height at a coordinate of this sheet's system; NaN outside and in voids.</summary>
    /// <remarks>Up to half a step outside the outermost posts the nearest posts count: a raster's cells cover that much.</remarks>
    public double HeightAt(double east, double north, TerrainInterpolation interpolation)
    {
        double column = first.ColumnOf(east);
        double row = first.RowOf(north);
        // A place on the other side of the earth may project to infinity: it has no post.
        if (!(Math.Abs(row) < 1e8 && Math.Abs(column) < 1e8))
        {
            return double.NaN;
        }

        foreach ((TerrainTile tile, int firstRow, int firstColumn) in placed)
        {
            double u = column - firstColumn;
            double v = row - firstRow;
            if (u < 0 || v < 0 || u > tile.Columns - 1 || v > tile.Rows - 1)
            {
                continue;
            }

            bool wide =
                interpolation == TerrainInterpolation.Bicubic
                && u >= 1
                && v >= 1
                && u < tile.Columns - 2
                && v < tile.Rows - 2;
            double height = wide ? PostInterpolation.Bicubic(tile.Heights, tile.Columns, v, u) : double.NaN;
            if (double.IsNaN(height) && (wide || interpolation == TerrainInterpolation.Bilinear))
            {
                height = PostInterpolation.Bilinear(tile.Heights, tile.Rows, tile.Columns, v, u);
            }

            if (!double.IsNaN(height))
            {
                return height;
            }
        }

        return AcrossTiles(row, column, interpolation);
    }

    private double AcrossTiles(double row, double column, TerrainInterpolation interpolation)
    {
        int i = (int)Math.Floor(row);
        int j = (int)Math.Floor(column);
        double v = row - i;
        double u = column - j;
        if (interpolation == TerrainInterpolation.Bicubic)
        {
            Span<double> across = stackalloc double[4];
            Span<double> down = stackalloc double[4];
            PostInterpolation.Weights(u, across);
            PostInterpolation.Weights(v, down);
            double sum = 0;
            for (int k = 0; k < 16; k++)
            {
                sum += down[k / 4] * across[k % 4] * Post(i - 1 + (k / 4), j - 1 + (k % 4));
            }

            if (!double.IsNaN(sum))
            {
                return sum;
            }
        }

        double height = PostInterpolation.Mix(Post(i, j), Post(i, j + 1), Post(i + 1, j), Post(i + 1, j + 1), u, v);
        if (!double.IsNaN(height))
        {
            return height;
        }

        // Within half a step of a tile's outermost posts: the cell of the nearest ones.
        foreach ((TerrainTile tile, int firstRow, int firstColumn) in placed)
        {
            double tileRow = row - firstRow;
            double tileColumn = column - firstColumn;
            double nearRow = Math.Clamp(tileRow, 0, tile.Rows - 1);
            double nearColumn = Math.Clamp(tileColumn, 0, tile.Columns - 1);
            bool moved = nearRow != tileRow || nearColumn != tileColumn;
            if (moved && Math.Abs(nearRow - tileRow) <= 0.5 && Math.Abs(nearColumn - tileColumn) <= 0.5)
            {
                height = PostInterpolation.Bilinear(tile.Heights, tile.Rows, tile.Columns, nearRow, nearColumn);
                if (!double.IsNaN(height))
                {
                    return height;
                }
            }
        }

        return double.NaN;
    }

    private double Post(int row, int column)
    {
        foreach ((TerrainTile tile, int firstRow, int firstColumn) in placed)
        {
            float height = tile.Post(row - firstRow, column - firstColumn);
            if (!float.IsNaN(height))
            {
                return height;
            }
        }

        return double.NaN;
    }
}
