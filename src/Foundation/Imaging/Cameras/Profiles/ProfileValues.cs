using Hillrow.Numerics;
using Tomlyn.Model;

namespace Hillrow.Imaging;

/// <summary>Small forms that several sections of a profile share.</summary>
internal static class ProfileValues
{
    public static TomlArray List(params IEnumerable<double> values)
    {
        TomlArray list = [];
        foreach (double value in values)
        {
            list.Add(value);
        }

        return list;
    }

    public static TomlArray List(Vector3D vector) => List(vector.X, vector.Y, vector.Z);

    public static TomlArray List(PixelPoint pixel) => List(pixel.Column, pixel.Row);

    public static TomlTable ByName(IReadOnlyDictionary<string, double> values)
    {
        TomlTable table = [];
        foreach ((string name, double value) in values)
        {
            table[name] = value;
        }

        return table;
    }

    /// <summary>Degrees that read back to the very same radians, in the shortest form that does.</summary>
    public static double Degrees(Angle angle)
    {
        double degrees = angle.Degrees;
        for (int digits = 1; digits <= 15; digits++)
        {
            double rounded = Math.Round(degrees, digits);
            if (Angle.FromDegrees(rounded) == angle)
            {
                return rounded;
            }
        }

        return degrees;
    }

    public static void SameLength(ProfileSection section, string first, double[] one, string second, double[] two)
    {
        if (one.Length != two.Length)
        {
            section.Problem(second, two.Length, $"must have as many entries as {first} ({one.Length})");
        }
    }

    public static void AllWithin(ProfileSection section, string key, double[] values, double low, double high)
    {
        foreach (double value in values)
        {
            if (value < low || value > high)
            {
                section.Problem(key, value, $"every entry must be from {low} to {high}");
                return;
            }
        }
    }
}
