using System.Numerics;

namespace Hillrow.Mapping;

/// <summary>A formula over bands: values, and standard errors carried through by exact derivatives.</summary>
/// <remarks>
/// Where the formula is undefined (a denominator of 0, the root of a negative number, a missing band) the value is NaN,
/// never infinite. Standard errors treat the bands as independent: sigma² = Σ (∂f/∂band · sigma)². Errors that bands share
/// (panel, light) make true errors of ratios smaller. Immutable; safe to use from many threads.
/// </remarks>
public sealed class IndexFormula
{
    private static readonly IReadOnlyDictionary<string, double> NoConstants = new Dictionary<string, double>();

    private readonly FormulaStep[] steps;
    private readonly int[] bandsUsed;
    private readonly int deepest;

    private IndexFormula(string text, FormulaStep[] steps, int[] bandsUsed)
    {
        Text = text;
        this.steps = steps;
        this.bandsUsed = bandsUsed;
        int depth = 0;
        foreach (FormulaStep step in steps)
        {
            depth += FormulaProgram.Growth(step.Kind);
            deepest = Math.Max(deepest, depth);
        }
    }

    public string Text { get; }

    /// <summary>Positions of the bands it needs, in the order in which values are given.</summary>
    public IReadOnlyList<int> BandsUsed => bandsUsed;

    /// <summary>Reads ordinary arithmetic: + − * / ^ ( ), sqrt exp ln tanh abs min max, band names, wavelengths such as 842nm.</summary>
    /// <param name="text">At most 2000 characters.</param>
    /// <param name="bands">Bands of the map.</param>
    /// <param name="constants">Further names with their values; null for none.</param>
    /// <param name="where">Names the formula in messages.</param>
    /// <exception cref="Hillrow.Numerics.InputProblemException">Not a formula; tells the place.</exception>
    public static IndexFormula Parse(
        string text,
        IReadOnlyList<FormulaBand> bands,
        IReadOnlyDictionary<string, double>? constants = null,
        string where = "formula"
    )
    {
        ArgumentNullException.ThrowIfNull(text);
        ArgumentNullException.ThrowIfNull(bands);
        (FormulaStep[] steps, int[] used) = FormulaParser.Parse(text, where, bands, constants ?? NoConstants);
        return new IndexFormula(text, steps, used);
    }

    /// <summary>One value.</summary>
    /// <param name="bandValues">One per band of the map, reflectance.</param>
    public double Evaluate(ReadOnlySpan<double> bandValues)
    {
        double[][] given = new double[bandsUsed.Length][];
        for (int at = 0; at < given.Length; at++)
        {
            given[at] = [bandValues[bandsUsed[at]]];
        }

        double[] value = new double[1];
        Run<double>(given, [], value, []);
        return value[0];
    }

    /// <summary>One value with its standard error.</summary>
    /// <param name="bandValues">One per band of the map.</param>
    /// <param name="bandSigmas">One standard error per band of the map.</param>
    /// <param name="sigma">Of the value; NaN when the value is.</param>
    public double Evaluate(ReadOnlySpan<double> bandValues, ReadOnlySpan<double> bandSigmas, out double sigma)
    {
        double[][] given = new double[bandsUsed.Length][];
        double[][] errors = new double[bandsUsed.Length][];
        for (int at = 0; at < given.Length; at++)
        {
            given[at] = [bandValues[bandsUsed[at]]];
            errors[at] = [bandSigmas[bandsUsed[at]]];
        }

        double[] value = new double[1];
        double[] error = new double[1];
        Run<double>(given, errors, value, error);
        sigma = error[0];
        return value[0];
    }

    /// <summary>Many values.</summary>
    /// <param name="values">One array per entry of <see cref="BandsUsed"/>, each as long as <paramref name="index"/> or longer.</param>
    /// <param name="index">Receives the values; NaN where undefined.</param>
    public void Evaluate(IReadOnlyList<float[]> values, Span<float> index) => Run(values, [], index, []);

    /// <summary>Many values with their standard errors.</summary>
    /// <param name="values">One array per entry of <see cref="BandsUsed"/>.</param>
    /// <param name="sigmas">Standard errors, likewise.</param>
    /// <param name="index">Receives the values.</param>
    /// <param name="sigma">Receives their standard errors, as many.</param>
    public void Evaluate(
        IReadOnlyList<float[]> values,
        IReadOnlyList<float[]> sigmas,
        Span<float> index,
        Span<float> sigma
    ) => Run(values, sigmas, index, sigma);

    private void Run<T>(IReadOnlyList<T[]> values, IReadOnlyList<T[]> sigmas, Span<T> index, Span<T> sigma)
        where T : unmanaged, IFloatingPointIeee754<T>
    {
        bool withSigma = sigma.Length > 0;
        int wanted = index.Length;
        if (
            values.Count != bandsUsed.Length
            || values.Any(array => array.Length < wanted)
            || (withSigma && (sigmas.Count != bandsUsed.Length || sigma.Length != index.Length))
        )
        {
            throw new ArgumentException(
                $"The formula needs {bandsUsed.Length} bands of {index.Length} values; {values.Count} were given.",
                nameof(values)
            );
        }

        FormulaProgram.Stack<T> stack = new(deepest, withSigma ? bandsUsed.Length : 0);
        for (int from = 0; from < index.Length; from += FormulaProgram.BlockLength)
        {
            int count = Math.Min(FormulaProgram.BlockLength, index.Length - from);
            stack.Run(steps, values, from, count);
            stack.TakeValues(index.Slice(from, count));
            if (withSigma)
            {
                stack.TakeSigmas(sigmas, from, index.Slice(from, count), sigma.Slice(from, count));
            }
        }
    }
}
