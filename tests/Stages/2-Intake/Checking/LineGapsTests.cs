using Hillrow.Numerics;
using Hillrow.Sight;
using Xunit;

namespace Hillrow.Intake.Tests;

public sealed class LineGapsTests
{
    private static readonly LocalGrid Grid = new(-100, 100, 2, 100, 100);

    [Theory]
    [InlineData(90)]
    [InlineData(0)]
    [InlineData(37)]
    [InlineData(179)]
    public void Find_LineRemoved_ToldWhateverTheHeading(double heading)
    {
        Assert.Contains("80 m apart", Assert.Single(Find(heading, [-80, -40, 40, 80])), StringComparison.Ordinal);
        Assert.Contains("80 m apart", Assert.Single(Find(heading, [-60, 20, 60])), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(90)]
    [InlineData(0)]
    [InlineData(37)]
    public void Find_WholeOrUneven_NothingTold(double heading)
    {
        Assert.Empty(Find(heading, [-80, -40, 0, 40, 80]));
        Assert.Empty(Find(heading, [-80, -36, 0, 44, 80]));
        Assert.Empty(Find(heading, [0]));
        Assert.Empty(Find(heading, [0, 60]));
    }

    [Fact]
    public void Find_SecondOfFourLinesRemoved_NeighboursInOneDirectionArePartedAllTheSame()
    {
        List<Vector3D> places = [];
        List<double> headings = [];
        foreach ((double across, bool back) in new[] { (-60.0, false), (20, false), (60, true) })
        {
            for (int shot = 0; shot < 12; shot++)
            {
                places.Add(new Vector3D((back ? 11 - shot : shot) * 8 - 44, -across, 60));
                headings.Add(back ? 270 : 90);
            }
        }

        Assert.Single(LineGaps.Find(places, headings, Grid, new int[Grid.CellCount]));
    }

    [Fact]
    public void Find_GapOverNoBlock_NothingTold()
    {
        int[] none = new int[Grid.CellCount];
        Array.Fill(none, -1);
        Assert.Empty(Find(90, [-80, -40, 40, 80], none));
    }

    private static IReadOnlyList<string> Find(double heading, double[] across, int[]? blockOf = null)
    {
        List<Vector3D> places = [];
        List<double> headings = [];
        Random wobble = new(3);
        (double east, double north) = (Math.Sin(heading * Math.PI / 180), Math.Cos(heading * Math.PI / 180));
        for (int line = 0; line < across.Length; line++)
        {
            for (int shot = 0; shot < 12; shot++)
            {
                double along = (shot - 5.5) * 8 * (line % 2 == 0 ? 1 : -1);
                double side = across[line] + wobble.NextDouble() - 0.5;
                places.Add(new Vector3D((along * east) + (side * north), (along * north) - (side * east), 60));
                headings.Add(heading + (line % 2 == 0 ? 0 : 180) + (8 * (wobble.NextDouble() - 0.5)));
            }
        }

        return LineGaps.Find(places, headings, Grid, blockOf ?? new int[Grid.CellCount]);
    }
}
