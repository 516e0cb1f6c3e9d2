using System.Globalization;
using Hillrow.EngineChild;
using Hillrow.Estate;
using Hillrow.Numerics;

// A process that the tests and figures of the run engine start and kill.
//   run ESTATE MILLISECONDS            runs the synthetic order once; 0 complete, 2 turned away
//   contend ESTATE NAME ROUNDS         writes log entries and tries to run, again and again
if (args.Length < 3)
{
    return 64;
}

ProgramIdentity program = ProgramIdentity.Current();
try
{
    EstateFolder estate = EstateFolder.Open(args[1]);
    switch (args[0])
    {
        case "run":
            int milliseconds = int.Parse(args[2], CultureInfo.InvariantCulture);
            RunEngine engine = new(estate, program, threads: 2, new SilentProgress());
            RunSummary summary = engine.Run(SyntheticRun.Order(milliseconds));
            return summary.Count(StepEnd.Failed) + summary.Count(StepEnd.Blocked) == 0 ? 0 : 1;
        case "contend":
            return Contention.Run(estate, program, args[2], int.Parse(args[3], CultureInfo.InvariantCulture));
        default:
            return 64;
    }
}
catch (InputProblemException problem)
{
    await Console.Error.WriteLineAsync(problem.Message);
    return 2;
}
