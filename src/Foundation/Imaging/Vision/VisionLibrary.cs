using System.Runtime.InteropServices;
using Hillrow.Numerics;
using OpenCvSharp;

namespace Hillrow.Imaging;

/// <summary>
/// The door to OpenCV's native library: sets it up once, before its first use, so that results are the same on every
/// run, and tells plainly what is missing when it cannot be loaded. Every class of this folder calls it first.
/// </summary>
/// <remarks>
/// Supported: Linux x64 (built and tested). What another system needs: docs/reference/supported-systems.md.
/// OpenCV is kept from its Intel-tuned paths (OPENCV_IPP=disabled): on processors of another make they are slower, and
/// they change results in the last digits. That variable must reach the native environment before the library loads;
/// .NET's own setter does not change it on Linux, hence libc's setenv.
/// </remarks>
public static partial class VisionLibrary
{
    private const ulong RandomSeed = 0x48696C6C726F77; // any fixed number: the same draws on every run

    private static readonly Lock Gate = new();
    private static bool ready;
    private static int threads = 1;

    /// <summary>Packages of Debian and Ubuntu that OpenCV's library needs.</summary>
    public const string InstallLine = "apt-get install --no-install-recommends libgtk-3-0 libdrm2 libatomic1";

    /// <summary>Makes OpenCV ready; quick when it already is.</summary>
    /// <param name="nativeThreads">Threads OpenCV may use inside one call. 1, because stages spread captures over threads themselves; null leaves it as it is.</param>
    /// <exception cref="InputProblemException">The library cannot be loaded here; the message says what to install.</exception>
    public static void EnsureReady(int? nativeThreads = null)
    {
        lock (Gate)
        {
            if (!ready)
            {
                Load();
                ready = true;
                Cv2.SetNumThreads(threads);
            }

            if (nativeThreads is { } wanted && wanted != threads)
            {
                ArgumentOutOfRangeException.ThrowIfNegativeOrZero(wanted);
                threads = wanted;
                Cv2.SetNumThreads(threads);
            }
        }
    }

    private static void Load()
    {
        if (!OperatingSystem.IsLinux() || RuntimeInformation.ProcessArchitecture != Architecture.X64)
        {
            throw new InputProblemException(
                "this machine",
                $"is {RuntimeInformation.OSDescription} on {RuntimeInformation.ProcessArchitecture}, and Hillrow's picture library is built for Linux on x64 only.",
                "Use a Linux x64 machine, or see docs/reference/supported-systems.md for what another system needs."
            );
        }

        // The log level keeps OpenCV from printing its own lines among ours; a level the person set stays.
        if (
            SetEnvironment("OPENCV_IPP", "disabled", overwrite: 1) != 0
            || SetEnvironment("OPENCV_LOG_LEVEL", "ERROR", overwrite: 0) != 0
        )
        {
            throw new InvalidOperationException("The environment of this process cannot be changed (setenv failed).");
        }

        KeepFreedMemory();

        try
        {
            // The first call loads the library; the generator's state then is the same in every run.
            Cv2.SetTheRNG(RandomSeed);
        }
        catch (Exception fault)
            when (fault is DllNotFoundException or TypeInitializationException or EntryPointNotFoundException
                || fault.GetType().Name == "OpenCvSharpException"
            )
        {
            throw new InputProblemException(
                "this machine",
                $"cannot load OpenCV's native library ({Missing(fault)}).",
                $"On Debian or Ubuntu run, as root: {InstallLine}",
                fault
            );
        }
    }

    /// <summary>
    /// OpenCV takes and frees some hundred megabytes for every picture. Left alone, the C library gives each large piece
    /// back to the system and asks for it anew, and much of the time goes into clearing pages; so freed memory stays, in
    /// one heap that all threads share. Best called first thing in a program: threads that have a heap keep it.
    /// </summary>
    public static void KeepFreedMemory()
    {
        const int TrimThreshold = -1;
        const int MostMaps = -4;
        const int MostHeaps = -8;
        if (!OperatingSystem.IsLinux())
        {
            return;
        }

        try
        {
            _ = SetAllocation(MostHeaps, 1);
            _ = SetAllocation(MostMaps, 0);
            _ = SetAllocation(TrimThreshold, int.MaxValue);
        }
        catch (EntryPointNotFoundException)
        {
            // Another C library has no such settings; results are the same without.
        }
    }

    /// <summary>Gives the memory that OpenCV has freed back to the system: when a stage will not look at pictures again.</summary>
    public static void GiveBackMemory()
    {
        if (!OperatingSystem.IsLinux())
        {
            return;
        }

        try
        {
            _ = TrimHeap(0);
        }
        catch (EntryPointNotFoundException)
        {
            // Another C library gives back by itself.
        }
    }

    /// <summary>The name of the shared library that was not found, when the loader told it.</summary>
    internal static string Missing(Exception fault)
    {
        for (Exception? cause = fault; cause is not null; cause = cause.InnerException)
        {
            int end = cause.Message.IndexOf(": cannot open shared object file", StringComparison.Ordinal);
            if (end > 0)
            {
                int start = cause.Message.LastIndexOfAny([' ', '\n', '\t'], end - 1) + 1;
                return $"{cause.Message[start..end]} is missing";
            }
        }

        return "a library it needs is missing";
    }

    [LibraryImport("libc", EntryPoint = "setenv", StringMarshalling = StringMarshalling.Utf8)]
    private static partial int SetEnvironment(string name, string value, int overwrite);

    [LibraryImport("libc", EntryPoint = "malloc_trim")]
    private static partial int TrimHeap(nint kept);

    [LibraryImport("libc", EntryPoint = "mallopt")]
    private static partial int SetAllocation(int parameter, int value);
}
