using System.Globalization;
using BenchmarkDotNet.Running;
using Hillrow.Bench;

// Side-by-side ratios against other people's libraries have verbs of their own (bench/README.md).
if (args is ["solver-ratio", var yardstick, ..])
{
    SolverRatio.Run(yardstick, args.Length > 2 ? int.Parse(args[2], CultureInfo.InvariantCulture) : 3);
    return;
}

BenchmarkSwitcher.FromAssembly(typeof(Program).Assembly).Run(args);
