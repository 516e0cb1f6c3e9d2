using System.Numerics;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Reconstruction.Tests;

public sealed class CensusTransformTests
{
    [Theory]
    [InlineData(7)]
    [InlineData(16)]
    [InlineData(29)]
    [InlineData(53)]
    public void Row_RandomPicture_CountsTheDarkerNeighbours(int columns)
    {
        SplittableRandom draw = new((ulong)columns);
        ushort[] picture = [.. Enumerable.Range(0, 7 * columns).Select(_ => (ushort)draw.NextInt32(65536))];
        uint[] bits = new uint[columns];
        CensusTransform.Row(picture, columns, 3, bits);
        for (int column = 3; column < columns - 3; column++)
        {
            int darker = 0;
            for (int row = 0; row < 7; row++)
            {
                for (int c = column - 3; c <= column + 3; c++)
                {
                    bool inner = Math.Abs(row - 3) <= 2 && Math.Abs(c - column) <= 2;
                    bool outer = (row - 3) % 3 == 0 && Math.Abs(c - column) == 3;
                    darker +=
                        (inner || outer) && picture[(row * columns) + c] < picture[(3 * columns) + column] ? 1 : 0;
                }
            }

            Assert.Equal(darker, BitOperations.PopCount(bits[column]));
        }
    }

    [Fact]
    public void Row_PictureBrightenedAndStretched_BitsStay()
    {
        SplittableRandom draw = new(4);
        ushort[] picture = [.. Enumerable.Range(0, 7 * 40).Select(_ => (ushort)draw.NextInt32(20000))];
        ushort[] other = [.. picture.Select(value => (ushort)((3 * value) + 100))];
        uint[] first = new uint[40];
        uint[] second = new uint[40];
        CensusTransform.Row(picture, 40, 3, first);
        CensusTransform.Row(other, 40, 3, second);
        Assert.Equal(first, second);
    }
}
