using Hillrow.Earth;
using Xunit;

namespace Hillrow.Reconstruction.Tests;

public sealed class AstrayPositionsTests
{
    [Fact]
    public void Of_OtherCountryNoFixAndSeaLevel_NamesThem()
    {
        GeodeticPosition?[] places =
        [
            .. Enumerable
                .Range(0, 30)
                .Select(index => (GeodeticPosition?)GeodeticPosition.FromDegrees(5.6 + (index * 1e-4), -75.7, 1700)),
        ];
        places[4] = GeodeticPosition.FromDegrees(-33.4, -70.6, 1700);
        places[9] = GeodeticPosition.FromDegrees(0, 0, 0);
        places[12] = null;
        places[20] = GeodeticPosition.FromDegrees(5.6021, -75.7, 3);
        Assert.Equal([4, 9, 20], AstrayPositions.Of(places));
    }

    [Fact]
    public void Of_TwoBlocksAKilometreApart_KeepsBoth()
    {
        GeodeticPosition?[] places =
        [
            .. Enumerable
                .Range(0, 40)
                .Select(index =>
                    (GeodeticPosition?)
                        GeodeticPosition.FromDegrees(5.6 + (index * 5e-5) + (index > 31 ? 0.009 : 0), -75.7, 1700)
                ),
        ];
        Assert.Empty(AstrayPositions.Of(places));
    }
}
