using System.Diagnostics;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>What the process has taken of the machine's memory.</summary>
internal static class ProcessMemory
{
    /// <summary>Largest resident memory so far, bytes; 0 where the system does not tell.</summary>
    public static long PeakBytes()
    {
        using Process self = Process.GetCurrentProcess();
        return self.PeakWorkingSet64;
    }

    /// <summary>Hands what is no longer used back to the system: a step must not begin with what the one before left behind.</summary>
    public static void GiveBack()
    {
        GarbageLimit.GiveBack();
        VisionLibrary.GiveBackMemory();
    }
}
