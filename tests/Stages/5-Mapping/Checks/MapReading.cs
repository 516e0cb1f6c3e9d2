using Hillrow.Imaging;

namespace Hillrow.Mapping.Checks;

/// <summary>Layers of a written map, whole.</summary>
public sealed class MapReading
{
    public MapReading(MapFiles files)
    {
        using RasterFile file = RasterFile.Open(files.Reflectance);
        Reflectance = new float[file.BandCount][];
        for (int band = 0; band < file.BandCount; band++)
        {
            Reflectance[band] = new float[file.Rows * file.Columns];
            file.ReadTrueValues(0, band, new RasterWindow(0, 0, file.Rows, file.Columns), Reflectance[band]);
        }

        Sigma = RasterFile.ReadWhole<byte>(files.Sigma);
        Capture = RasterFile.ReadWhole<ushort>(files.Capture);
        View = RasterFile.ReadWhole<byte>(files.View);
        Shadow = RasterFile.ReadWhole<byte>(files.Shadow);
    }

    public float[][] Reflectance { get; }

    /// <summary>In the capture layer: no capture.</summary>
    public const ushort NoCapture = ushort.MaxValue;

    public Raster<byte> Sigma { get; }

    public Raster<ushort> Capture { get; }

    public Raster<byte> View { get; }

    public Raster<byte> Shadow { get; }
}
