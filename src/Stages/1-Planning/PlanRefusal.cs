using Hillrow.Numerics;

namespace Hillrow.Planning;

/// <summary>A plan that cannot be made as asked, and what to ask instead.</summary>
internal sealed class PlanRefusal(string where, FormattableString problem, FormattableString remedy)
    : InputProblemException(where, FormattableString.Invariant(problem), FormattableString.Invariant(remedy))
{
    /// <summary>To ask for instead; null when another pixel does not mend it.</summary>
    public double? PixelMetres { get; init; }

    /// <summary>To add; null when another home does not mend it.</summary>
    public PlanPoint? Home { get; init; }
}
