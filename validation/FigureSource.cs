namespace Hillrow.Validation;

/// <summary>
/// Measures some figures of one area. Every public class below validation/ that derives from this is found by
/// itself, so a room adds its figures in a file of its own.
/// </summary>
public abstract class FigureSource
{
    /// <summary>Area as given to <c>./validate AREA</c>, for instance "ground".</summary>
    public abstract string Area { get; }

    /// <summary>Sources of an area run in this order, then by type name: quick and exact ones first.</summary>
    public virtual int Order => 0;

    /// <summary>Measures afresh; yields each figure as soon as it is known.</summary>
    public abstract IEnumerable<Figure> Measure(ValidationRun run);
}

/// <summary>What a source may know about the run: how long it may take, where to put files, whom to tell.</summary>
/// <param name="Quick">True for the few-minutes subset.</param>
/// <param name="ScratchFolder">A fresh folder, removed afterwards.</param>
/// <param name="Say">Prints a line of progress.</param>
/// <param name="DrawnSeed">The one seed drawn for this run; printed with the result.</param>
public sealed record ValidationRun(bool Quick, string ScratchFolder, Action<string> Say, ulong DrawnSeed);
