using Hillrow.TestSupport;

namespace Hillrow.Validation.Ground.Statistics;

/// <summary>What the validation figure and the tests both run (this folder is compiled into both).</summary>
public static class Comparisons
{
    /// <summary>One comparison a file of tests/Reference/statistics.</summary>
    public static IReadOnlyList<(string File, Func<CheckTally> Compare)> All { get; } =
    [
        ("nist_univariate", NistComparison.Univariate),
        ("nist_anova", NistComparison.Anova),
        ("nist_linear", NistComparison.Linear),
        ("nist_nonlinear", NistComparison.Nonlinear),
        ("regression", RegressionComparison.Ordinary),
        ("robust_regression", RegressionComparison.Robust),
        ("growth_curves", RegressionComparison.Growth),
        ("baci", BaciComparison.Compare),
        ("tests", TestsComparison.Tests),
        ("two_proportions", TestsComparison.Proportions),
        ("p_adjust", TestsComparison.AdjustedP),
        ("spatial_global", SpatialComparison.Global),
        ("spatial_local", SpatialComparison.Local),
        ("spatial_sids_gistar", SpatialComparison.Counties),
    ];
}
