namespace Hillrow.Imaging;

/// <summary>One page in memory: each band a plane of its own, Rows × Columns, row-major.</summary>
public sealed class Picture
{
    private readonly ushort[]? counts;
    private readonly float[]? values;

    internal Picture(PictureInfo info, ushort[] counts)
    {
        Info = info;
        this.counts = counts;
    }

    internal Picture(PictureInfo info, float[] values)
    {
        Info = info;
        this.values = values;
    }

    public PictureInfo Info { get; }

    public int Rows => Info.Rows;

    public int Columns => Info.Columns;

    public int Bands => Info.Bands;

    public int BitsPerSample => Info.BitsPerSample;

    /// <summary>True when the samples are 16-bit counts, false when they are floats.</summary>
    public bool IsCounts => counts is not null;

    private int PlaneLength => Rows * Columns;

    /// <summary>Counts of one band, Rows × Columns.</summary>
    /// <exception cref="InvalidOperationException">The picture holds floats.</exception>
    public ReadOnlySpan<ushort> Counts(int band)
    {
        CheckBand(band);
        return counts is null
            ? throw new InvalidOperationException("The picture holds floats: use Values.")
            : counts.AsSpan(band * PlaneLength, PlaneLength);
    }

    /// <summary>Floats of one band, Rows × Columns.</summary>
    /// <exception cref="InvalidOperationException">The picture holds counts.</exception>
    public ReadOnlySpan<float> Values(int band)
    {
        CheckBand(band);
        return values is null
            ? throw new InvalidOperationException("The picture holds counts: use Counts or CopyTo.")
            : values.AsSpan(band * PlaneLength, PlaneLength);
    }

    /// <summary>One band as floats, whatever is held.</summary>
    /// <param name="target">Rows × Columns values.</param>
    public void CopyTo(int band, Span<float> target)
    {
        CheckBand(band);
        if (values is not null)
        {
            Values(band).CopyTo(target);
            return;
        }

        ReadOnlySpan<ushort> from = Counts(band);
        for (int i = 0; i < from.Length; i++)
        {
            target[i] = from[i];
        }
    }

    private void CheckBand(int band)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(band);
        ArgumentOutOfRangeException.ThrowIfGreaterThanOrEqual(band, Bands);
    }
}
