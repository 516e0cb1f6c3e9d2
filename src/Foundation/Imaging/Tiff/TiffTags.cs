namespace Hillrow.Imaging;

/// <summary>Tag numbers that the readers themselves need (TIFF 6.0, Exif 3.0, GeoTIFF 1.1, GDAL's registered ones).</summary>
public static class TiffTags
{
    public const int NewSubfileType = 254;
    public const int ImageWidth = 256;
    public const int ImageLength = 257;
    public const int BitsPerSample = 258;
    public const int Compression = 259;
    public const int PhotometricInterpretation = 262;
    public const int FillOrder = 266;
    public const int ImageDescription = 270;
    public const int StripOffsets = 273;
    public const int Orientation = 274;
    public const int SamplesPerPixel = 277;
    public const int RowsPerStrip = 278;
    public const int StripByteCounts = 279;
    public const int PlanarConfiguration = 284;
    public const int Predictor = 317;
    public const int ColorMap = 320;
    public const int TileWidth = 322;
    public const int TileLength = 323;
    public const int TileOffsets = 324;
    public const int TileByteCounts = 325;
    public const int SubDirectories = 330;
    public const int SampleFormat = 339;
    public const int JpegTables = 347;
    public const int Xmp = 700;
    public const int ModelPixelScale = 33550;
    public const int ModelTiepoint = 33922;
    public const int ModelTransformation = 34264;
    public const int ExifDirectory = 34665;
    public const int GeoKeyDirectory = 34735;
    public const int GeoDoubleParameters = 34736;
    public const int GeoTextParameters = 34737;
    public const int GpsDirectory = 34853;
    public const int InteroperabilityDirectory = 40965;
    public const int GdalMetadata = 42112;
    public const int GdalNoData = 42113;
}
