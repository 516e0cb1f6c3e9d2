using Hillrow.Checks;
using Xunit;

namespace Hillrow.Planning.Tests;

/// <summary>ANCHORS.md, section a: published and recomputed numbers, A1–A10.</summary>
public sealed class Planning_AnchorsTests
{
    [Fact]
    public void All_Values_Hold() =>
        Assert.Empty(PlanAnchors.All().Where(anchor => !anchor.Holds).Select(anchor => anchor.Id));
}
