using Hillrow.Earth;

namespace Hillrow.Imaging;

/// <summary>The reference system that a raster file names by its keys.</summary>
public static class RasterReferenceSystem
{
    /// <exception cref="Hillrow.Numerics.InputProblemException">The file names none, or one we cannot use.</exception>
    public static ReferenceSystem Of(RasterFile raster)
    {
        ArgumentNullException.ThrowIfNull(raster);
        Dictionary<int, double> numbers = raster.GeoKeys.Numbers.ToDictionary(key => key.Key, key => (double)key.Value);
        foreach ((int key, double[] values) in raster.GeoKeys.Doubles)
        {
            if (values.Length > 0)
            {
                numbers.TryAdd(key, values[0]);
            }
        }

        return GeoTiffKeys.Read(numbers, raster.GeoKeys.Texts, raster.Name);
    }
}
