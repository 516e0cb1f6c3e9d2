namespace Hillrow.Imaging;

/// <summary>How decoding of a Deflate stream ended.</summary>
internal enum InflationEnd
{
    /// <summary>The last block ended.</summary>
    Complete,

    /// <summary>The target is full and the stream goes on.</summary>
    TargetFull,

    /// <summary>The input ends in the middle.</summary>
    CutShort,

    /// <summary>The input is no Deflate stream.</summary>
    Damaged,
}
