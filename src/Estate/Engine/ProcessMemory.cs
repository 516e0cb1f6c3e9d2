using System.Diagnostics;

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
}
