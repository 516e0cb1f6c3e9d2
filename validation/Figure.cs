namespace Hillrow.Validation;

/// <summary>One measured value; its goal stands in goals.toml under the same area and name.</summary>
/// <param name="Name">Dotted, lower camel case, unit at the end: <c>utm.maxErrorMetres</c>.</param>
/// <param name="Value">The measured value; NaN when it could not be measured (then it does not hold).</param>
/// <param name="How">How it was measured, in one line: data, count, reference, machine-dependent or not.</param>
public sealed record Figure(string Name, double Value, string How);
