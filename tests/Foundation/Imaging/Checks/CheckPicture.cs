using System.Globalization;
using Hillrow.TestSupport;

namespace Hillrow.Checks;

/// <summary>A picture of tests/Reference/image-processing: a CSV file, first row on top.</summary>
public sealed record CheckPicture(int Rows, int Columns, double[] Values)
{
    public byte[] Mask => [.. Values.Select(value => value != 0 ? (byte)1 : (byte)0)];

    public byte[] Bytes => [.. Values.Select(value => (byte)value)];

    public int[] Labels => [.. Values.Select(value => (int)value)];

    public static CheckPicture Open(string name)
    {
        string[] lines =
        [
            .. File.ReadAllLines(RepositoryFiles.Reference("image-processing", name + ".csv"))
                .Where(line => line.Length > 0),
        ];
        double[] values =
        [
            .. lines
                .SelectMany(line => line.Split(','))
                .Select(text => double.Parse(text, CultureInfo.InvariantCulture)),
        ];
        return new CheckPicture(lines.Length, values.Length / lines.Length, values);
    }

    /// <summary>The pictures that lie in the folder: img0, img1, …</summary>
    public static IReadOnlyList<string> Names =>
        [
            .. Directory
                .GetFiles(RepositoryFiles.Reference("image-processing"), "img*_gauss1_reflect.csv")
                .Select(path => Path.GetFileName(path).Split('_')[0])
                .Order(StringComparer.Ordinal),
        ];
}
