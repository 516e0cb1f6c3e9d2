using System.Runtime.InteropServices;
using Hillrow.App;

// Ctrl-C and a polite kill ask for a stop; the work ends at the next safe moment, and the next run goes on from there.
using CancellationTokenSource stop = new();
Console.CancelKeyPress += (_, pressed) =>
{
    // A second Ctrl-C ends the process at once, which is safe too: nothing half-done is ever current.
    pressed.Cancel = !stop.IsCancellationRequested;
    stop.Cancel();
};
using PosixSignalRegistration terminate = PosixSignalRegistration.Create(
    PosixSignal.SIGTERM,
    signal =>
    {
        signal.Cancel = true;
        stop.Cancel();
    }
);
StopGrace.Watch(stop.Token, args.Contains("--json"));
Hillrow.Imaging.VisionLibrary.KeepFreedMemory();
return CommandLine.Run(args, Console.Out, Console.Error, stop.Token);
