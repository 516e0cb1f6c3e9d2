namespace Hillrow.Reconstruction;

/// <summary>Census bits of a picture with a wide border of places not seen, so that shifted reads need no test.</summary>
/// <param name="Rows">Of the picture.</param>
/// <param name="Columns">Of the picture.</param>
/// <param name="Bits">
/// Variants after each other, each (Rows + 2 · Border) lines of <see cref="Stride"/>; the second variant, if any, is the
/// picture half a pixel on along columns or rows.
/// </param>
/// <param name="HalfAlong">What the second variant is shifted along.</param>
internal sealed record BitsPicture(int Rows, int Columns, uint[] Bits, HalfStep HalfAlong)
{
    /// <summary>Rows and columns around the picture.</summary>
    public const int Border = 32;

    /// <summary>Bits of a place that is not seen.</summary>
    public const uint Unseen = 0x8000_0000;

    public int Stride => StrideOf(Columns);

    public static int StrideOf(int columns) => columns + (2 * Border);

    public static int LengthOf(int rows, int columns) => (rows + (2 * Border)) * StrideOf(columns);

    /// <summary>Transforms a picture; places nearer than the window's reach to its edge are not seen.</summary>
    public static BitsPicture Of(ReadOnlySpan<ushort> picture, int rows, int columns, uint[] buffer)
    {
        Fill(picture, rows, columns, buffer.AsSpan(0, LengthOf(rows, columns)));
        return new BitsPicture(rows, columns, buffer, HalfStep.None);
    }

    /// <param name="picture">Rows × columns.</param>
    /// <param name="rows">Of the picture.</param>
    /// <param name="columns">Of the picture.</param>
    /// <param name="bits">One variant.</param>
    public static void Fill(ReadOnlySpan<ushort> picture, int rows, int columns, Span<uint> bits)
    {
        bits.Fill(Unseen);
        int stride = StrideOf(columns);
        for (int row = CensusTransform.Reach; row < rows - CensusTransform.Reach; row++)
        {
            CensusTransform.Row(picture, columns, row, bits.Slice(((row + Border) * stride) + Border, columns));
        }
    }

    /// <summary>Index of a place of a variant, clamped into the border.</summary>
    /// <param name="variant">0 or 1.</param>
    /// <param name="row">First of <see cref="SweepTiles.Height"/> rows.</param>
    /// <param name="column">First of <see cref="SweepTiles.Width"/> columns.</param>
    public int IndexOf(int variant, int row, int column)
    {
        int r = Math.Clamp(row, -Border, Rows + Border - SweepTiles.Height);
        int c = Math.Clamp(column, -Border, Columns + Border - SweepTiles.Width);
        return (variant * LengthOf(Rows, Columns)) + ((r + Border) * Stride) + c + Border;
    }
}

/// <summary>What a half-pixel variant is shifted along.</summary>
internal enum HalfStep
{
    /// <summary>No second variant.</summary>
    None,

    /// <summary>Along columns.</summary>
    Columns,

    /// <summary>Along rows.</summary>
    Rows,
}
