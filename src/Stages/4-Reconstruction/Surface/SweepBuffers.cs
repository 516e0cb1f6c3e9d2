namespace Hillrow.Reconstruction;

/// <summary>Large arrays of one sweep, kept from capture to capture; for one thread at a time.</summary>
internal sealed class SweepBuffers
{
    private readonly List<uint[]> partnerBits = [];
    private readonly Dictionary<int, float[]> heights = [];
    private readonly Dictionary<int, float[]> medians = [];
    private uint[] ownBits = [];
    private ushort[] warped = [];
    private byte[] costs = [];
    private byte[] halfSums = [];
    private int[] patch = [];
    private bool[] marks = [];
    private float[] cellPixels = [];

    public uint[] OwnBits(int length) => Grown(ref ownBits, length);

    public ushort[] Warped(int length) => Grown(ref warped, length);

    public byte[] Costs(int length) => Grown(ref costs, length);

    /// <summary>Sums of half of the paths.</summary>
    public byte[] HalfSums(int length) => Grown(ref halfSums, length);

    /// <summary>Heights of a picture of so many pixels, exactly; the same array each time.</summary>
    public float[] Heights(int length) => Exact(heights, length);

    /// <summary>Medians of the same.</summary>
    public float[] Medians(int length) => Exact(medians, length);

    /// <summary>Pixels of one patch.</summary>
    public int[] Patch(int length) => Grown(ref patch, length);

    /// <summary>One mark a pixel, all false.</summary>
    public bool[] Marks(int length)
    {
        bool[] marked = Grown(ref marks, length);
        Array.Clear(marked, 0, length);
        return marked;
    }

    /// <summary>Heights of the pixels of cells.</summary>
    public float[] CellPixels(int length) => Grown(ref cellPixels, length);

    public uint[] PartnerBits(int partner, int length)
    {
        while (partnerBits.Count <= partner)
        {
            partnerBits.Add([]);
        }

        uint[] bits = partnerBits[partner];
        return partnerBits[partner] = Grown(ref bits, length);
    }

    private static float[] Exact(Dictionary<int, float[]> arrays, int length)
    {
        if (!arrays.TryGetValue(length, out float[]? array))
        {
            arrays[length] = array = new float[length];
        }

        return array;
    }

    private static T[] Grown<T>(ref T[] array, int length)
    {
        if (array.Length < length)
        {
            array = GC.AllocateUninitializedArray<T>(length);
        }

        return array;
    }
}
