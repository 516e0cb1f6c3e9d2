namespace Hillrow.Numerics.Regression;

/// <summary>Checks at the public doors.</summary>
internal static class Finite
{
    /// <exception cref="ArgumentException">A value is NaN or infinite; its place and value are named.</exception>
    public static void Check(ReadOnlySpan<double> values, string name)
    {
        for (int i = 0; i < values.Length; i++)
        {
            if (!double.IsFinite(values[i]))
            {
                throw new ArgumentException($"{name}[{i}] is {values[i]}; every value must be finite.", name);
            }
        }
    }

    /// <exception cref="ArgumentException">The lengths differ.</exception>
    public static void CheckSameLength(int first, int second, string names)
    {
        if (first != second)
        {
            throw new ArgumentException($"{names}: lengths {first} and {second} differ.", names);
        }
    }
}
