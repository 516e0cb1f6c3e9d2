using Xunit;

namespace Hillrow.Estate.Tests;

public sealed class PackCheckTests
{
    [Fact]
    public void Look_NothingThere_TellsEveryThingMissingWithItsRemedy()
    {
        using PackScene scene = PackScene.Empty();
        PackReport report = scene.Look();
        Assert.False(report.Ready);
        Assert.Equal(["blocks", "camera", "plan"], Missing(report));
        Assert.All(report.Items.Where(item => item.State != PackState.Ready), item => Assert.NotEqual("", item.Remedy));
    }

    [Fact]
    public void Look_AllThere_IsReadyAndTellsSortiesAndRoom()
    {
        using PackScene scene = PackScene.Whole();
        PackReport report = scene.Look();
        Assert.Empty(Missing(report));
        Assert.True(report.Ready);
        Assert.True(report.Sorties >= 1);
        // 5 bands of 16 bits, more than once over.
        Assert.True(report.BytesNeeded > report.Captures * 5L * 1280 * 960 * 2, $"{report.BytesNeeded} bytes");
        Assert.DoesNotContain(report.Items, item => item is { Subject: "plan", State: PackState.Caution });
    }

    [Fact]
    public void Look_DiskTooSmall_TellsNeedAndRoom()
    {
        using PackScene scene = PackScene.Whole();
        PackReport report = scene.Look(plain => plain with { FreeBytes = _ => 1_000_000_000 });
        PackItem disk = Assert.Single(report.Items, item => item.State == PackState.Missing);
        Assert.Equal("disk", disk.Subject);
        Assert.StartsWith("1.0 GB free; up to ", disk.Told, StringComparison.Ordinal);
    }

    [Fact]
    public void Look_FewerBatteriesThanSorties_IsMissing()
    {
        using PackScene scene = PackScene.Whole();
        Assert.Equal(["batteries"], Missing(scene.Look(plain => plain with { Batteries = 0 })));
        PackReport unsaid = scene.Look(plain => plain with { Batteries = null });
        Assert.Contains(unsaid.Items, item => item is { Subject: "batteries", State: PackState.Caution });
    }

    [Fact]
    public void Look_TerrainEndsBesideABlock_TellsBlockAndSide()
    {
        using PackScene scene = PackScene.Whole();
        // The block lies at column 840 of 1201; posts are 92 m apart.
        scene.AddTerrain(voidColumns: 838);
        PackItem terrain = Assert.Single(scene.Look().Items, item => item.State == PackState.Missing);
        Assert.Equal("terrain", terrain.Subject);
        Assert.StartsWith("North: ", terrain.Told, StringComparison.Ordinal);
        Assert.EndsWith("most of it to the west.", terrain.Told, StringComparison.Ordinal);
    }

    [Fact]
    public void Look_BlockThatNoPlanFlies_IsTold()
    {
        using PackScene scene = PackScene.Whole();
        scene.AddBlock("Far", PackScene.Middle.EastingMetres + 600, PackScene.Middle.NorthingMetres);
        Assert.Contains(
            scene.Look().Items,
            item => item.State == PackState.Caution && item.Told.EndsWith("does not fly Far.", StringComparison.Ordinal)
        );
    }

    [Fact]
    public void Look_CameraGone_TellsWhoseProfileThePlanNeeds()
    {
        using PackScene scene = PackScene.Whole();
        string text = File.ReadAllText(scene.CameraFile);
        string name = text.Split('\n').First(line => line.StartsWith("name", StringComparison.Ordinal));
        File.WriteAllText(scene.CameraFile, text.Replace(name, "name = \"Another\"", StringComparison.Ordinal));
        Assert.Equal(["camera"], Missing(scene.Look()));
        File.WriteAllText(scene.CameraFile, "name = 3");
        Assert.Equal(["camera", "camera"], Missing(scene.Look()));
    }

    [Fact]
    public void Look_NoCertificateForABand_NamesTheBand()
    {
        using PackScene scene = PackScene.Whole();
        Hillrow.Imaging.CameraProfile profile = Hillrow.Imaging.CameraProfile.Load(scene.CameraFile);
        File.WriteAllText(scene.CameraFile, (profile with { Panel = null }).ToToml());
        Assert.Contains(scene.Look().Items, item => item is { Subject: "panel", State: PackState.Caution });
        File.WriteAllText(scene.CameraFile, (profile with { Panel = null, IrradianceSensor = null }).ToToml());
        Assert.Equal(["panel"], Missing(scene.Look()));
    }

    [Fact]
    public void Look_PlanOfAnotherDayOrDamaged_IsTold()
    {
        using PackScene scene = PackScene.Whole();
        PackReport later = scene.Look(plain => plain with { Day = PackScene.Day.AddDays(3) });
        Assert.Contains(
            later.Items,
            item =>
                item is { Subject: "plan", State: PackState.Caution }
                && item.Told.Contains("2026-03-17", StringComparison.Ordinal)
        );
        File.WriteAllText(scene.PlanFile, File.ReadAllText(scene.PlanFile)[..400]);
        Assert.Equal(["plan"], Missing(scene.Look()));
        Assert.Equal(["plan"], Missing(scene.Look(plain => plain with { Plan = "unknown" })));
    }

    private static string[] Missing(PackReport report) =>
        [.. report.Items.Where(item => item.State == PackState.Missing).Select(item => item.Subject)];
}
