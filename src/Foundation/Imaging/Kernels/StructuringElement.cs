namespace Hillrow.Imaging;

/// <summary>The neighbourhood of a morphological filter: for each row offset a symmetric run of columns.</summary>
/// <remarks>Symmetric about its origin, so that erosion and dilation are each other's dual without mirroring.</remarks>
public sealed class StructuringElement
{
    private readonly int[] halfWidths;

    private StructuringElement(int[] halfWidths, bool isSquare)
    {
        this.halfWidths = halfWidths;
        IsSquare = isSquare;
        Radius = halfWidths.Length / 2;
    }

    /// <summary>Reach in rows and columns.</summary>
    public int Radius { get; }

    internal bool IsSquare { get; }

    /// <summary>Columns reach from −HalfWidth to +HalfWidth in this row.</summary>
    internal int HalfWidth(int rowOffset) => halfWidths[rowOffset + Radius];

    /// <param name="side">Odd, 1 … 2001.</param>
    public static StructuringElement Square(int side)
    {
        if (side < 1 || side % 2 == 0 || side > 2001)
        {
            throw new ArgumentOutOfRangeException(nameof(side), side, "The side must be odd, from 1 to 2001.");
        }

        int[] halves = new int[side];
        Array.Fill(halves, side / 2);
        return new StructuringElement(halves, isSquare: true);
    }

    /// <summary>Pixels whose row and column offsets satisfy dr² + dc² ≤ radius².</summary>
    /// <param name="radius">0 … 1000.</param>
    public static StructuringElement Disk(int radius)
    {
        if (radius is < 0 or > 1000)
        {
            throw new ArgumentOutOfRangeException(nameof(radius), radius, "The radius must be from 0 to 1000.");
        }

        int[] halves = new int[(2 * radius) + 1];
        for (int offset = -radius; offset <= radius; offset++)
        {
            int square = (radius * radius) - (offset * offset);
            int half = (int)Math.Sqrt(square);
            halves[offset + radius] = half * half > square ? half - 1 : half;
        }

        return new StructuringElement(halves, isSquare: false);
    }
}
