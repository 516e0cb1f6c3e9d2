namespace Hillrow.App;

/// <summary>What the process tells the shell.</summary>
public static class ExitCodes
{
    public const int Done = 0;

    /// <summary>A fault of the program or the machine.</summary>
    public const int OurFault = 1;

    /// <summary>Something given by the user cannot be used; the line on standard error says what, where and how to mend it.</summary>
    public const int BadInput = 2;

    /// <summary>Stopped by Ctrl-C (128 + SIGINT, as shells have it).</summary>
    public const int Stopped = 130;
}
