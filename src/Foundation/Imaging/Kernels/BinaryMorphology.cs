namespace Hillrow.Imaging;

/// <summary>Erosion, dilation, opening, closing and hole filling of masks: a byte a pixel, 0 is out, all else is in.</summary>
/// <remarks>What lies outside the picture counts as out; closing looks beyond the edge, so it never eats the border.</remarks>
public static class BinaryMorphology
{
    /// <summary>1 where the whole neighbourhood is in.</summary>
    public static void Erode(
        ReadOnlySpan<byte> mask,
        int rows,
        int columns,
        StructuringElement element,
        Span<byte> result
    )
    {
        Shapes.Check<byte, byte>(mask, rows, columns, result);
        Shapes.CheckApart<byte>(mask, result);
        RunSums sums = new(mask, rows, columns);
        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                result[(row * columns) + column] = IsFull(sums, row, column, element) ? (byte)1 : (byte)0;
            }
        }
    }

    /// <summary>1 where any pixel of the neighbourhood is in.</summary>
    public static void Dilate(
        ReadOnlySpan<byte> mask,
        int rows,
        int columns,
        StructuringElement element,
        Span<byte> result
    )
    {
        Shapes.Check<byte, byte>(mask, rows, columns, result);
        Shapes.CheckApart<byte>(mask, result);
        RunSums sums = new(mask, rows, columns);
        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                result[(row * columns) + column] = IsTouched(sums, row, column, element) ? (byte)1 : (byte)0;
            }
        }
    }

    /// <summary>Erosion, then dilation.</summary>
    public static void Open(
        ReadOnlySpan<byte> mask,
        int rows,
        int columns,
        StructuringElement element,
        Span<byte> result
    )
    {
        byte[] between = new byte[mask.Length];
        Erode(mask, rows, columns, element, between);
        Dilate(between, rows, columns, element, result);
    }

    /// <summary>Dilation, then erosion, on a picture widened by the element's radius.</summary>
    public static void Close(
        ReadOnlySpan<byte> mask,
        int rows,
        int columns,
        StructuringElement element,
        Span<byte> result
    )
    {
        Shapes.Check<byte, byte>(mask, rows, columns, result);
        int radius = element.Radius;
        int wideRows = rows + (2 * radius);
        int wideColumns = columns + (2 * radius);
        byte[] wide = new byte[wideRows * wideColumns];
        byte[] grown = new byte[wide.Length];
        for (int row = 0; row < rows; row++)
        {
            mask.Slice(row * columns, columns).CopyTo(wide.AsSpan(((row + radius) * wideColumns) + radius, columns));
        }

        Dilate(wide, wideRows, wideColumns, element, grown);
        Erode(grown, wideRows, wideColumns, element, wide);
        for (int row = 0; row < rows; row++)
        {
            wide.AsSpan(((row + radius) * wideColumns) + radius, columns).CopyTo(result.Slice(row * columns, columns));
        }
    }

    /// <summary>Adds every region of zeros that cannot reach the picture's edge by steps up, down, left and right.</summary>
    public static void FillHoles(ReadOnlySpan<byte> mask, int rows, int columns, Span<byte> result)
    {
        Shapes.Check<byte, byte>(mask, rows, columns, result);
        byte[] outside = new byte[mask.Length];
        Stack<int> open = new();
        void Visit(ReadOnlySpan<byte> pixels, int at)
        {
            if (pixels[at] == 0 && outside[at] == 0)
            {
                outside[at] = 1;
                open.Push(at);
            }
        }

        for (int column = 0; column < columns; column++)
        {
            Visit(mask, column);
            Visit(mask, ((rows - 1) * columns) + column);
        }

        for (int row = 0; row < rows; row++)
        {
            Visit(mask, row * columns);
            Visit(mask, (row * columns) + columns - 1);
        }

        while (open.TryPop(out int at))
        {
            int column = at % columns;
            if (column > 0)
            {
                Visit(mask, at - 1);
            }

            if (column < columns - 1)
            {
                Visit(mask, at + 1);
            }

            if (at >= columns)
            {
                Visit(mask, at - columns);
            }

            if (at < mask.Length - columns)
            {
                Visit(mask, at + columns);
            }
        }

        for (int index = 0; index < outside.Length; index++)
        {
            result[index] = outside[index] == 0 ? (byte)1 : (byte)0;
        }
    }

    private static bool IsFull(RunSums sums, int row, int column, StructuringElement element)
    {
        for (int offset = -element.Radius; offset <= element.Radius; offset++)
        {
            int half = element.HalfWidth(offset);
            if (sums.Between(row + offset, column - half, column + half) != (2 * half) + 1)
            {
                return false;
            }
        }

        return true;
    }

    private static bool IsTouched(RunSums sums, int row, int column, StructuringElement element)
    {
        for (int offset = -element.Radius; offset <= element.Radius; offset++)
        {
            int half = element.HalfWidth(offset);
            if (sums.Between(row + offset, column - half, column + half) > 0)
            {
                return true;
            }
        }

        return false;
    }

    /// <summary>Counts of pixels in, up to each column of each row: a run of any length costs two look-ups.</summary>
    private sealed class RunSums
    {
        private readonly int[] sums;
        private readonly int rows;
        private readonly int columns;

        public RunSums(ReadOnlySpan<byte> mask, int rows, int columns)
        {
            this.rows = rows;
            this.columns = columns;
            sums = new int[rows * (columns + 1)];
            for (int row = 0; row < rows; row++)
            {
                int sum = 0;
                for (int column = 0; column < columns; column++)
                {
                    sum += mask[(row * columns) + column] != 0 ? 1 : 0;
                    sums[(row * (columns + 1)) + column + 1] = sum;
                }
            }
        }

        public int Between(int row, int firstColumn, int lastColumn)
        {
            if (unchecked((uint)row >= (uint)rows))
            {
                return 0;
            }

            int line = row * (columns + 1);
            return sums[line + Math.Min(columns, lastColumn + 1)] - sums[line + Math.Max(0, firstColumn)];
        }
    }
}
