using System.Text;
using CsCheck;
using Hillrow.Checks;
using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Planning.Tests;

public sealed class FiledPlanTests
{
    private static readonly PlanningResult Plan = PlanningStage.Run(
        PlanScene.Input(
            PlanScene.Ground(300, 15, (east, north) => 0.2 * north),
            1,
            [PlanScene.Rectangle(-40, -30, 80, 60)],
            new PlanPoint(-50, -40)
        ),
        new PlanningSettings { Date = new DateOnly(2026, 3, 14) }
    );

    private static readonly byte[] Json = Encoding.UTF8.GetBytes(PlanJson.Of(Plan, "first"));

    [Fact]
    public void Parse_WrittenPlan_TellsWhatWasPlanned()
    {
        FiledPlan filed = FiledPlan.Parse(Json, "test");
        Assert.Equal("first", filed.Name);
        Assert.Equal(new DateOnly(2026, 3, 14), filed.Date);
        Assert.Equal(Plan.CaptureCount, filed.CaptureCount);
        Assert.Equal(Plan.Settings.SideOverlap, filed.Asked.SideOverlap);
        PlannedTrigger[] planned = [.. Plan.Sorties.SelectMany(sortie => sortie.Captures)];
        PlannedTrigger[] read = [.. filed.Sorties.SelectMany(sortie => sortie.Captures)];
        // Files hold millimetres.
        Assert.All(
            planned.Zip(read),
            pair =>
            {
                Assert.True((pair.First.PositionLocalMetres - pair.Second.PositionLocalMetres).Length < 0.001);
                Assert.Equal(pair.First.Line, pair.Second.Line);
            }
        );
        Assert.True(
            (
                filed.Frame.ToGeodetic(default).HeightAboveEllipsoidMetres
                - Plan.Input.Frame.Origin.HeightAboveEllipsoidMetres
            )
                is > -1e-6
                    and < 1e-6
        );
    }

    [Fact]
    public void Parse_DamagedPlan_ReadsOrTellsInOneLine() =>
        Gen.Select(Gen.Int[0, Json.Length - 1], Gen.Byte, Gen.Int[0, Json.Length])
            .Sample(
                (at, value, length) =>
                {
                    byte[] damaged = [.. Json];
                    damaged[at] = value;
                    try
                    {
                        _ = FiledPlan.Parse(damaged.AsMemory(0, length % 3 == 0 ? length : damaged.Length), "test");
                    }
                    catch (InputProblemException problem)
                    {
                        Assert.DoesNotContain('\n', problem.Message);
                    }
                },
                iter: 2000,
                seed: "0N0XIzNsQ0O2",
                threads: 1
            );
}
