namespace Hillrow.Mapping;

/// <summary>One standard error of reflectance as one byte on a logarithmic scale.</summary>
/// <remarks>
/// Code 0: no data. Code c in 1 … 255 stands for 0.0001 × 1.04^(c − 1), that is 0.0001 … 2.1; coding errs by at most
/// 2.4 % (half a step and the 8 leading bits of the float that are looked at). Smaller values get code 1, larger 255.
/// </remarks>
public static class SigmaCode
{
    public const double Smallest = 0.0001;
    public const double Step = 1.04;

    /// <summary>For the file's own description.</summary>
    public const string Description = "code 0: no data; code c: sigma = 0.0001 * 1.04^(c-1), in units of reflectance";

    private static readonly byte[] CodeOfHighBits = BuildCodes();

    private static readonly float[] Values = BuildValues();

    /// <summary>Code of one standard error; 0 for NaN and below 0.</summary>
    public static byte Encode(float sigma) => CodeOfHighBits[BitConverter.SingleToUInt32Bits(sigma) >> 16];

    /// <summary>NaN for code 0.</summary>
    public static float Decode(byte code) => Values[code];

    /// <param name="codes">As stored.</param>
    /// <param name="sigma">Receives as many standard errors; NaN for no data.</param>
    public static void Decode(ReadOnlySpan<byte> codes, Span<float> sigma)
    {
        for (int at = 0; at < codes.Length; at++)
        {
            sigma[at] = Values[codes[at]];
        }
    }

    private static byte[] BuildCodes()
    {
        byte[] codes = new byte[1 << 16];
        for (uint high = 0; high < codes.Length; high++)
        {
            // The middle of all floats that share these 16 leading bits.
            bool infinite = high == 0x7F80;
            float sigma = BitConverter.UInt32BitsToSingle((high << 16) | (infinite ? 0u : 0x8000u));
            codes[high] =
                float.IsNaN(sigma) || sigma < 0 ? (byte)0
                : infinite ? (byte)255
                : (byte)
                    Math.Clamp(Math.Round(Math.Log(Math.Max(sigma, 1e-30) / Smallest) / Math.Log(Step)) + 1, 1, 255);
        }

        return codes;
    }

    private static float[] BuildValues()
    {
        float[] values = new float[256];
        values[0] = float.NaN;
        for (int code = 1; code < 256; code++)
        {
            values[code] = (float)(Smallest * Math.Pow(Step, code - 1));
        }

        return values;
    }
}
