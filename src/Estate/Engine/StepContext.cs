using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>What a step's work is given.</summary>
public sealed class StepContext
{
    private readonly IReadOnlyDictionary<string, ResolvedInput> inputs;
    private readonly IProgress<double> progress;

    internal StepContext(
        EstateFolder estate,
        string outputFolder,
        IReadOnlyDictionary<string, ResolvedInput> inputs,
        int threads,
        IProgress<double> progress,
        CancellationToken cancellation
    )
    {
        Estate = estate;
        OutputFolder = outputFolder;
        Threads = threads;
        Cancellation = cancellation;
        this.inputs = inputs;
        this.progress = progress;
    }

    /// <summary>
    /// The estate, for typed reading of tables that are declared as inputs. Should a person change them meanwhile, the
    /// engine notices at the end and has the work done again.
    /// </summary>
    public EstateFolder Estate { get; }

    /// <summary>An empty folder for this step's files.</summary>
    public string OutputFolder { get; }

    /// <summary>How many threads the work may use; must not change the result.</summary>
    public int Threads { get; }

    public CancellationToken Cancellation { get; }

    /// <summary>Absolute path of an input file, input folder, or the folder of an earlier step's outputs.</summary>
    /// <exception cref="ArgumentException">The step declares no such input, or it has no path.</exception>
    public string PathOf(string input) =>
        Find(input).Path ?? throw new ArgumentException($"Input \"{input}\" has no path.", nameof(input));

    /// <summary>Whether an input is declared and there; an optional one may be missing, and not every survey has every step.</summary>
    public bool Has(string input) => inputs.TryGetValue(input, out ResolvedInput? found) && found.Path is not null;

    /// <summary>Verdict of the earlier step behind an input; done for what is no step's output.</summary>
    public StageOutcome OutcomeOf(string input) => Find(input).Outcome;

    /// <summary>Path of a file to write, its folder made.</summary>
    public string NewFile(string relativePath)
    {
        string path = Path.Combine(OutputFolder, relativePath);
        Directory.CreateDirectory(Path.GetDirectoryName(path)!);
        return path;
    }

    /// <summary>Tells how far the work is, 0 … 1, and stops it if the user asked for that.</summary>
    /// <exception cref="OperationCanceledException">The user wants to stop.</exception>
    public void Report(double shareDone)
    {
        Cancellation.ThrowIfCancellationRequested();
        progress.Report(Math.Clamp(shareDone, 0, 1));
    }

    private ResolvedInput Find(string input) =>
        inputs.TryGetValue(input, out ResolvedInput? found)
            ? found
            : throw new ArgumentException($"The step declares no input \"{input}\".", nameof(input));
}
