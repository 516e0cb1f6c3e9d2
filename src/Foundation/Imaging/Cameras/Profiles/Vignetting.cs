namespace Hillrow.Imaging;

/// <summary>How much darker a lens is away from its middle: falloff 1 at the centre, less towards the corners.</summary>
public abstract record Vignetting
{
    private protected Vignetting() { }

    public static Vignetting None { get; } = new RadialVignetting(null, [], 1);
}

/// <summary>Vignetting that can be told for any place by a formula.</summary>
public abstract record VignettingFormula : Vignetting
{
    private protected VignettingFormula() { }

    /// <summary>The share of light that arrives; divide a count above black by it.</summary>
    public abstract double FalloffAt(PixelPoint pixel, int rows, int columns);

    private protected static PixelPoint CentreOr(PixelPoint? centre, int rows, int columns) =>
        centre ?? new PixelPoint(columns / 2.0, rows / 2.0);

    private protected static double HalfDiagonal(int rows, int columns) =>
        0.5 * Math.Sqrt(((double)rows * rows) + ((double)columns * columns));
}

/// <summary>1 + c₁ ρ + c₂ ρ² + …, ρ the distance from the centre over a scale.</summary>
/// <param name="Centre">Null: the frame's middle.</param>
/// <param name="Coefficients">c₁, c₂, …; none: no vignetting.</param>
/// <param name="ScalePixels">Length of ρ = 1 in pixels; null: half the frame's diagonal.</param>
/// <param name="GivesCorrection">True when the polynomial is what counts are multiplied by (1 / falloff).</param>
public sealed record RadialVignetting(
    PixelPoint? Centre,
    IReadOnlyList<double> Coefficients,
    double? ScalePixels,
    bool GivesCorrection = false
) : VignettingFormula
{
    public override double FalloffAt(PixelPoint pixel, int rows, int columns)
    {
        PixelPoint centre = CentreOr(Centre, rows, columns);
        double dc = pixel.Column - centre.Column;
        double dr = pixel.Row - centre.Row;
        double rho = Math.Sqrt((dc * dc) + (dr * dr)) / (ScalePixels ?? HalfDiagonal(rows, columns));
        double value = RadialPolynomial(rho, Coefficients);
        return GivesCorrection ? 1 / value : value;
    }

    /// <summary>1 + c₁ ρ + c₂ ρ² + …</summary>
    public static double RadialPolynomial(double rho, IReadOnlyList<double> coefficients)
    {
        double value = 0;
        for (int index = coefficients.Count - 1; index >= 0; index--)
        {
            value = (value + coefficients[index]) * rho;
        }

        return 1 + value;
    }
}

/// <summary>Σ c · xᵃ yᵇ, x and y the column and row offsets from the centre over a scale.</summary>
/// <param name="Centre">Null: the frame's middle.</param>
/// <param name="Terms">At least one.</param>
/// <param name="ScalePixels">Length of 1 in pixels; null: half the frame's diagonal.</param>
/// <param name="GivesCorrection">True when the polynomial is what counts are multiplied by (1 / falloff).</param>
public sealed record PolynomialVignetting(
    PixelPoint? Centre,
    IReadOnlyList<VignettingTerm> Terms,
    double? ScalePixels,
    bool GivesCorrection = false
) : VignettingFormula
{
    public override double FalloffAt(PixelPoint pixel, int rows, int columns)
    {
        PixelPoint centre = CentreOr(Centre, rows, columns);
        double scale = ScalePixels ?? HalfDiagonal(rows, columns);
        double x = (pixel.Column - centre.Column) / scale;
        double y = (pixel.Row - centre.Row) / scale;
        double value = 0;
        foreach (VignettingTerm term in Terms)
        {
            value += term.Coefficient * Power(x, term.ColumnPower) * Power(y, term.RowPower);
        }

        return GivesCorrection ? 1 / value : value;
    }

    private static double Power(double value, int exponent)
    {
        double power = 1;
        for (int factor = 0; factor < exponent; factor++)
        {
            power *= value;
        }

        return power;
    }
}

/// <param name="ColumnPower">a of xᵃ, 0 … 12.</param>
/// <param name="RowPower">b of yᵇ, 0 … 12.</param>
/// <param name="Coefficient">c.</param>
public readonly record struct VignettingTerm(int ColumnPower, int RowPower, double Coefficient);

/// <summary>Falloff measured pixel by pixel, in a float TIFF of the frame's size (relative to the profile's folder).</summary>
/// <param name="File">Path with forward slashes.</param>
/// <param name="GivesCorrection">True when its values are what counts are multiplied by (1 / falloff).</param>
public sealed record MappedVignetting(string File, bool GivesCorrection = false) : Vignetting;
