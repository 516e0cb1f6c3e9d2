using System.Runtime.CompilerServices;
using Xunit;

namespace Hillrow.Numerics.Tests.Parallel;

public sealed class GarbageLimitTests
{
    [Fact]
    public void Hold_MoreThanTheLimitThrownAway_IsCollected()
    {
        GarbageLimit limit = new(4 << 20);
        WeakReference thrown = ThrowAway(8 << 20);
        limit.Hold();
        Assert.False(thrown.IsAlive);
    }

    // In a method of its own, so that no register of the test keeps it.
    [MethodImpl(MethodImplOptions.NoInlining)]
    private static WeakReference ThrowAway(int bytes) => new(new byte[bytes]);
}
