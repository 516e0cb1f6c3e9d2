using System.Runtime.InteropServices;
using Microsoft.Win32.SafeHandles;

namespace Hillrow.Imaging;

/// <summary>Whole-buffer zlib decoding by libdeflate (MIT licence, Debian package libdeflate0), where it is installed.</summary>
/// <remarks>
/// About twice as fast as the runtime's stream on the same bytes. Where the library is missing (Windows, macOS, a bare
/// Linux) <see cref="DeflateDecoder"/> does all by the runtime's zlib: the same bytes, more slowly.
/// </remarks>
internal static unsafe class FastDeflate
{
    private const int Success = 0;

    private static readonly string[] Names = ["libdeflate.so.0", "libdeflate.0.dylib", "libdeflate.dll"];
    private static readonly delegate* unmanaged[Cdecl]<nint> Allocate;
    private static readonly delegate* unmanaged[Cdecl]<nint, void> Free;
    private static readonly delegate* unmanaged[Cdecl]<nint, byte*, nuint, byte*, nuint, nuint*, int> Decompress;

    [ThreadStatic]
    private static Decompressor? own;

    // Three pointers that belong together are looked up at once, so no field initialisers.
#pragma warning disable CA1810
    static FastDeflate()
#pragma warning restore CA1810
    {
        nint library = 0;
        if (!Names.Any(name => NativeLibrary.TryLoad(name, out library)))
        {
            return;
        }

        if (
            NativeLibrary.TryGetExport(library, "libdeflate_alloc_decompressor", out nint allocate)
            && NativeLibrary.TryGetExport(library, "libdeflate_free_decompressor", out nint free)
            && NativeLibrary.TryGetExport(library, "libdeflate_zlib_decompress", out nint decompress)
        )
        {
            Allocate = (delegate* unmanaged[Cdecl]<nint>)allocate;
            Free = (delegate* unmanaged[Cdecl]<nint, void>)free;
            Decompress = (delegate* unmanaged[Cdecl]<nint, byte*, nuint, byte*, nuint, nuint*, int>)decompress;
            IsThere = true;
        }
    }

    public static bool IsThere { get; }

    /// <summary>Decodes a whole stream, its checksum compared.</summary>
    /// <returns>Bytes decoded; −1 when the stream is damaged, cut short or longer than the target.</returns>
    public static int Decode(ReadOnlySpan<byte> encoded, Span<byte> decoded)
    {
        own ??= new Decompressor();
        if (own.IsInvalid)
        {
            return -1; // no memory for the fast way
        }

        nuint written = 0;
        fixed (byte* from = encoded)
        fixed (byte* into = decoded)
        {
            int end = Decompress(own.Handle, from, (nuint)encoded.Length, into, (nuint)decoded.Length, &written);
            return end == Success ? (int)written : -1;
        }
    }

    /// <summary>Working memory of one thread; given back when the thread is gone.</summary>
    private sealed class Decompressor : SafeHandleZeroOrMinusOneIsInvalid
    {
        public Decompressor()
            : base(ownsHandle: true) => SetHandle(Allocate());

        public nint Handle => handle;

        protected override bool ReleaseHandle()
        {
            Free(handle);
            return true;
        }
    }
}
