using Hillrow.Earth;
using Hillrow.Numerics;
using Hillrow.Plants;
using Xunit;

namespace Hillrow.Estate.Tests;

public sealed class EarlierPartsTests
{
    [Fact]
    public void Of_LatestSurveyFoundNothing_GivesTheOneBeforeIt()
    {
        EarlierParts earlier = new([Survey(), Survey(3, 4), Survey(1, 2, 5)]);
        Assert.Equal([3.0, 4.0], earlier.Of(7, "North")!.Plants.Select(plant => plant.Place.EastingMetres));
        Assert.Null(earlier.Of(8, "North"));
        Assert.Null(earlier.Of(7, "North (2)"));
        Assert.Null(new EarlierParts([]).Of(7, "North"));
    }

    [Fact]
    public void Of_PlantsHiddenThen_AreKnownStill_OtherHiddenPlacesAreNot()
    {
        StoredPlants stored = Stored(1);
        BlockPlants found = stored.Parts[0].Found with
        {
            Hidden =
            [
                new EmptyPosition(1, 2, new GridPoint(20, 0), 0.1, "under a shade tree"),
                new EmptyPosition(1, 3, new GridPoint(30, 0), 0.1, "in shadow") { IsKnownPlant = true },
            ],
        };
        StoredPlants hidden = new([stored.Parts[0] with { Found = found }]);
        EarlierParts earlier = new([new Lazy<StoredPlants>(hidden)]);
        Assert.Equal([1.0, 30.0], earlier.Of(7, "North")!.Plants.Select(plant => plant.Place.EastingMetres));
    }

    private static Lazy<StoredPlants> Survey(params double[] eastings) => new(Stored(eastings));

    private static StoredPlants Stored(params double[] eastings) =>
        new([
            new StoredBlockPlants(
                7,
                "North",
                new BlockPlants("North", StageOutcome.Done)
                {
                    Plants =
                    [
                        .. eastings.Select((east, at) => new PlantRecord(at + 1, 1, at + 1, new GridPoint(east, 0))),
                    ],
                }
            ),
        ]);
}
