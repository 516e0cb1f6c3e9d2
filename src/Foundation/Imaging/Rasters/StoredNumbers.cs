using System.Numerics;
using System.Runtime.InteropServices;

namespace Hillrow.Imaging;

/// <summary>Takes one band's numbers out of a stored row and turns them into the caller's type.</summary>
internal static class StoredNumbers
{
    /// <summary>True when a caller may ask for T: floating point always; integers when they hold every stored value.</summary>
    public static bool AreHeldBy<T>(SampleType stored)
        where T : unmanaged, INumber<T> =>
        (SampleTypes.Of<T>(), stored) switch
        {
            (SampleType.Float32 or SampleType.Float64, _) => true,
            (var same, _) when same == stored => true,
            (SampleType.Int16 or SampleType.Int32, SampleType.Byte or SampleType.SByte) => true,
            (SampleType.UInt16 or SampleType.UInt32, SampleType.Byte) => true,
            (SampleType.Int32, SampleType.Int16 or SampleType.UInt16) => true,
            (SampleType.UInt32, SampleType.UInt16) => true,
            _ => false,
        };

    /// <summary>Copies every step-th number, from the first on, until <paramref name="to"/> is full.</summary>
    public static void Copy<T>(ReadOnlySpan<byte> row, SampleType stored, int first, int step, Span<T> to)
        where T : unmanaged, INumber<T>
    {
        switch (stored)
        {
            case SampleType.Byte:
                CopyAs<byte, T>(row, first, step, to);
                break;
            case SampleType.SByte:
                CopyAs<sbyte, T>(row, first, step, to);
                break;
            case SampleType.UInt16:
                CopyAs<ushort, T>(row, first, step, to);
                break;
            case SampleType.Int16:
                CopyAs<short, T>(row, first, step, to);
                break;
            case SampleType.UInt32:
                CopyAs<uint, T>(row, first, step, to);
                break;
            case SampleType.Int32:
                CopyAs<int, T>(row, first, step, to);
                break;
            case SampleType.Float32:
                CopyAs<float, T>(row, first, step, to);
                break;
            case SampleType.Float64:
                CopyAs<double, T>(row, first, step, to);
                break;
            case SampleType.Float16:
                CopyAs<Half, T>(row, first, step, to);
                break;
            case SampleType.UInt64:
                CopyAs<ulong, T>(row, first, step, to);
                break;
            default:
                CopyAs<long, T>(row, first, step, to);
                break;
        }
    }

    private static void CopyAs<TStored, T>(ReadOnlySpan<byte> row, int first, int step, Span<T> to)
        where TStored : unmanaged, INumber<TStored>
        where T : unmanaged, INumber<T>
    {
        ReadOnlySpan<TStored> from = MemoryMarshal.Cast<byte, TStored>(row)[first..];
        if (typeof(TStored) == typeof(T))
        {
            ReadOnlySpan<T> same = MemoryMarshal.Cast<TStored, T>(from);
            if (step == 1)
            {
                same[..to.Length].CopyTo(to);
                return;
            }

            for (int cell = 0; cell < to.Length; cell++)
            {
                to[cell] = same[unchecked(cell * step)];
            }

            return;
        }

        for (int cell = 0; cell < to.Length; cell++)
        {
            to[cell] = T.CreateSaturating(from[unchecked(cell * step)]);
        }
    }
}
