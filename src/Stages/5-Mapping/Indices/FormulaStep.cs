namespace Hillrow.Mapping;

/// <summary>One step of a formula in reverse Polish order.</summary>
/// <param name="Kind">What is done with the top of the stack.</param>
/// <param name="Number">For <see cref="FormulaStepKind.Number"/>.</param>
/// <param name="Band">For <see cref="FormulaStepKind.Band"/>: position among the bands used.</param>
internal readonly record struct FormulaStep(FormulaStepKind Kind, double Number = 0, int Band = 0);

internal enum FormulaStepKind
{
    Number,
    Band,
    Negate,
    Add,
    Subtract,
    Multiply,
    Divide,
    Power,
    Square,
    SquareRoot,
    Exponential,
    Logarithm,
    HyperbolicTangent,
    Absolute,
    Least,
    Greatest,
}
