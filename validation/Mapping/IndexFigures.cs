using Hillrow.Mapping.Checks;
using Hillrow.TestSupport;

namespace Hillrow.Validation.Mapping;

/// <summary>Index values against the check book, the table's own worked values, and identities.</summary>
public sealed class IndexFigures : FigureSource
{
    public override string Area => "mapping";

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        CheckTally book = IndexChecks.Book();
        yield return Share("indices.checks", book, "tests/Reference/indices, tolerance of the book (1e-9 relative)");
        CheckTally table = IndexChecks.Table();
        yield return Share(
            "indices.table",
            table,
            "worked values of ANCHORS section k to 1e-6, and the claimed behaviour under a common factor"
        );
        CheckTally identities = IndexChecks.Identities(run.DrawnSeed);
        yield return Share("indices.identities", identities, "five identities on 200 random spectra");
        foreach (string failure in book.Failures.Concat(table.Failures).Concat(identities.Failures).Take(10))
        {
            run.Say(failure);
        }
    }

    private static Figure Share(string name, CheckTally tally, string how) =>
        new($"{name}.shareHolding", tally.ShareHolding, $"{tally.CaseCount} cases: {how}");
}
