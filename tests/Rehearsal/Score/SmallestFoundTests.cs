using Xunit;

namespace Hillrow.Rehearsal.Tests;

public sealed class SmallestFoundTests
{
    [Fact]
    public void CrownMetres_SmallOnesMissed_TellsTheSmallestClassThatIsFound()
    {
        // Twenty plants in each class of 0.2 m from 0.4 m; below 0.8 m half are missed, above one of twenty.
        (double, bool)[] plants =
        [
            .. Enumerable.Range(0, 100).Select(at => (0.45 + (0.2 * (at / 20)), at < 40 ? at % 2 == 0 : at % 20 != 0)),
        ];
        Assert.Equal(0.8, SmallestFound.CrownMetres(plants), 1e-9);
        Assert.Equal(0.4, SmallestFound.CrownMetres(plants.Where((_, at) => at % 2 == 0)), 1e-9);
    }

    [Fact]
    public void CrownMetres_LargeOnesMissedOrTooFew_IsNotTold()
    {
        Assert.Equal(double.NaN, SmallestFound.CrownMetres(Enumerable.Range(0, 50).Select(at => (1.5, at % 3 > 0))));
        Assert.Equal(double.NaN, SmallestFound.CrownMetres([(1.5, true), (1.6, true)]));
    }

    [Fact]
    public void CrownMetres_FewLargeOnes_CountWithTheNextSmaller()
    {
        (double, bool)[] plants = [(2.9, false), .. Enumerable.Range(0, 19).Select(_ => (1.05, true))];
        Assert.Equal(1.0, SmallestFound.CrownMetres(plants), 1e-9);
    }
}
