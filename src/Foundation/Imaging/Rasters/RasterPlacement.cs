namespace Hillrow.Imaging;

/// <summary>
/// The affine map from pixel places (outer corner of the first cell is 0, 0) to coordinates in the file's reference
/// system, as the file states it: x east or longitude, y north or latitude.
/// </summary>
public sealed record RasterPlacement(
    double OriginX,
    double XPerColumn,
    double XPerRow,
    double OriginY,
    double YPerColumn,
    double YPerRow
)
{
    /// <summary>True when rows run west to east and columns north to south.</summary>
    public bool IsNorthUp => XPerRow.Equals(0.0) && YPerColumn.Equals(0.0) && XPerColumn > 0 && YPerRow < 0;

    public double XOf(PixelPoint place) => OriginX + (XPerColumn * place.Column) + (XPerRow * place.Row);

    public double YOf(PixelPoint place) => OriginY + (YPerColumn * place.Column) + (YPerRow * place.Row);

    /// <summary>The placement of the same picture with cells so many times as wide and high.</summary>
    public RasterPlacement Coarser(double columnFactor, double rowFactor) =>
        this with
        {
            XPerColumn = XPerColumn * columnFactor,
            YPerColumn = YPerColumn * columnFactor,
            XPerRow = XPerRow * rowFactor,
            YPerRow = YPerRow * rowFactor,
        };

    /// <summary>Reads the GeoTIFF tags; null when the file states no place.</summary>
    /// <remarks>Source: OGC GeoTIFF 1.1, annex B.6 (raster space and the three tags).</remarks>
    internal static RasterPlacement? Read(TiffDirectory directory, bool coordinatesAreOfCentres)
    {
        double[] matrix = directory.Doubles(TiffTags.ModelTransformation);
        double[] scale = directory.Doubles(TiffTags.ModelPixelScale);
        double[] tie = directory.Doubles(TiffTags.ModelTiepoint);
        RasterPlacement? placement =
            matrix.Length >= 8 ? new(matrix[3], matrix[0], matrix[1], matrix[7], matrix[4], matrix[5])
            : scale.Length >= 2 && tie.Length >= 6
                ? new(tie[3] - (tie[0] * scale[0]), scale[0], 0, tie[4] + (tie[1] * scale[1]), 0, -scale[1])
            : null;
        if (placement is null)
        {
            return null;
        }

        if (coordinatesAreOfCentres)
        {
            placement = placement with
            {
                OriginX = placement.OriginX - ((placement.XPerColumn + placement.XPerRow) / 2),
                OriginY = placement.OriginY - ((placement.YPerColumn + placement.YPerRow) / 2),
            };
        }

        double area = (placement.XPerColumn * placement.YPerRow) - (placement.XPerRow * placement.YPerColumn);
        return double.IsFinite(placement.OriginX + placement.OriginY) && double.IsFinite(area) && !area.Equals(0.0)
            ? placement
            : throw directory.File.Damaged("its place on the earth (tags 33550, 33922, 34264) makes no sense.");
    }
}
