using System.Numerics;
using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;

namespace Hillrow.Intake;

/// <summary>Count, sums and sums of products of two pictures' cells over those that both see (neither is 0).</summary>
/// <remarks>Whole numbers: the same in any order, sixteen at a time or one by one.</remarks>
internal struct SharedMoments
{
    public long Count { get; private set; }

    public long First { get; private set; }

    public long Second { get; private set; }

    public long FirstSquared { get; private set; }

    public long SecondSquared { get; private set; }

    public long Product { get; private set; }

    /// <summary>Correlation, −1 … 1; −1 where either shows nothing or fewer cells are shared than asked.</summary>
    public readonly double Correlation(int leastShared)
    {
        if (Count < leastShared)
        {
            return -1;
        }

        double spreadFirst = (Count * (double)FirstSquared) - ((double)First * First);
        double spreadSecond = (Count * (double)SecondSquared) - ((double)Second * Second);
        return spreadFirst <= 0 || spreadSecond <= 0
            ? -1
            : ((Count * (double)Product) - ((double)First * Second)) / Math.Sqrt(spreadFirst * spreadSecond);
    }

    /// <summary>Cells of two rows that both see.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static int CountShared(ReadOnlySpan<byte> mine, ReadOnlySpan<byte> theirs)
    {
        int count = 0;
        int at = 0;
        for (; at + Vector256<byte>.Count <= mine.Length; at += Vector256<byte>.Count)
        {
            Vector256<byte> unseen =
                Vector256.Equals(Vector256.Create(mine[at..]), Vector256<byte>.Zero)
                | Vector256.Equals(Vector256.Create(theirs[at..]), Vector256<byte>.Zero);
            count += Vector256<byte>.Count - BitOperations.PopCount(unseen.ExtractMostSignificantBits());
        }

        for (; at < mine.Length; at++)
        {
            count += mine[at] > 0 && theirs[at] > 0 ? 1 : 0;
        }

        return count;
    }

    /// <summary>Adds two rows of as many cells.</summary>
    public void Add(ReadOnlySpan<byte> mine, ReadOnlySpan<byte> theirs)
    {
        int at = 0;
        if (Avx2.IsSupported)
        {
            at = AddSixteens(mine, theirs);
        }

        for (; at < mine.Length; at++)
        {
            int x = mine[at];
            int y = theirs[at];
            if (x > 0 && y > 0)
            {
                Count++;
                First += x;
                Second += y;
                FirstSquared += x * x;
                SecondSquared += y * y;
                Product += x * y;
            }
        }
    }

    /// <remarks>A check takes seconds: compiled well at once, not after it has been slow for a while.</remarks>
    /// <returns>Cells taken. A row's sums of pairs of squares stay below 2³¹ up to a million cells.</returns>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private int AddSixteens(ReadOnlySpan<byte> mine, ReadOnlySpan<byte> theirs)
    {
        Vector256<int> squaredFirst = Vector256<int>.Zero;
        Vector256<int> squaredSecond = Vector256<int>.Zero;
        Vector256<int> products = Vector256<int>.Zero;
        Vector128<long> first = Vector128<long>.Zero;
        Vector128<long> second = Vector128<long>.Zero;
        int at = 0;
        for (; at + Vector128<byte>.Count <= mine.Length; at += Vector128<byte>.Count)
        {
            Vector128<byte> x = Vector128.Create(mine[at..]);
            Vector128<byte> y = Vector128.Create(theirs[at..]);
            Vector128<byte> unseen =
                Vector128.Equals(x, Vector128<byte>.Zero) | Vector128.Equals(y, Vector128<byte>.Zero);
            x = Vector128.AndNot(x, unseen);
            y = Vector128.AndNot(y, unseen);
            Count += Vector128<byte>.Count - BitOperations.PopCount(unseen.ExtractMostSignificantBits());
            first += Sse2.SumAbsoluteDifferences(x, Vector128<byte>.Zero).AsInt64();
            second += Sse2.SumAbsoluteDifferences(y, Vector128<byte>.Zero).AsInt64();
            Vector256<short> wideX = Avx2.ConvertToVector256Int16(x);
            Vector256<short> wideY = Avx2.ConvertToVector256Int16(y);
            squaredFirst += Avx2.MultiplyAddAdjacent(wideX, wideX);
            squaredSecond += Avx2.MultiplyAddAdjacent(wideY, wideY);
            products += Avx2.MultiplyAddAdjacent(wideX, wideY);
        }

        First += Vector128.Sum(first);
        Second += Vector128.Sum(second);
        FirstSquared += SumOf(squaredFirst);
        SecondSquared += SumOf(squaredSecond);
        Product += SumOf(products);
        return at;
    }

    private static long SumOf(Vector256<int> sums) =>
        Vector256.Sum(Vector256.WidenLower(sums) + Vector256.WidenUpper(sums));
}
