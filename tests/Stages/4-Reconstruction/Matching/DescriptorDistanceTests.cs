using CsCheck;
using Xunit;

namespace Hillrow.Reconstruction.Tests;

public sealed class DescriptorDistanceTests
{
    [Fact]
    public void Squared_AnyDescriptors_EqualsThePlainSum() =>
        Gen
            .Byte.Array[128]
            .Select(Gen.Byte.Array[128])
            .Sample(
                (first, second) =>
                    DescriptorDistance.Squared(first, second) == first.Zip(second, (a, b) => (a - b) * (a - b)).Sum()
            );
}
