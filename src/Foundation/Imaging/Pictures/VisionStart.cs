using System.Runtime.InteropServices;

namespace Hillrow.Imaging;

/// <summary>Makes OpenCV ready for decoding.</summary>
internal static partial class VisionStart
{
    private static readonly Lazy<bool> Ready = new(Start);

    public static void EnsureReady() => _ = Ready.Value;

    private static bool Start()
    {
        // The environment as seen by native code is set natively: .NET's own copy does not reach it on Linux.
        return !OperatingSystem.IsLinux() || SetEnvironment("OPENCV_IPP", "disabled", 1) == 0;
    }

    [LibraryImport("libc", EntryPoint = "setenv", StringMarshalling = StringMarshalling.Utf8)]
    private static partial int SetEnvironment(string name, string value, int overwrite);
}
