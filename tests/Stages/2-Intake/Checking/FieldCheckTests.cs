using System.Text.Json;
using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;
using Hillrow.TestSupport;
using Xunit;

namespace Hillrow.Intake.Tests;

/// <summary>Faults planted in a light synthetic flight must be found, and none invented on the clean one.</summary>
public sealed class FieldCheckTests : IDisposable
{
    private readonly TestFolder folder = new();

    public void Dispose() => folder.Dispose();

    [Fact]
    public void Run_CleanFlight_GoesAndFindsNothing()
    {
        new CheckFlight().Write(folder);
        FieldCheckResult check = CheckFlight.Check(folder);
        Assert.Empty(check.Findings);
        Assert.Empty(check.Holes);
        Assert.True(check.Go, string.Join('\n', check.Reasons));
        Assert.True(check.Light.Steady);
        Assert.Equal(2, check.Panel.Before);
        Assert.Equal(2, check.Panel.After);
        Assert.True(check.Panel.LargestDisagreement < 0.05, $"{check.Panel}");
        Assert.Empty(check.Cautions);
        Assert.InRange(check.ForwardOverlap!.Value, 0.7, 0.8);
        Assert.InRange(check.SideOverlap!.Value, 0.55, 0.8);
    }

    [Fact]
    public void Run_LinesRemoved_HoleFoundWhereNobodySees()
    {
        new CheckFlight { Keep = (line, _) => line is not (2 or 3 or 4 or 5) }.Write(folder);
        FieldCheckResult check = CheckFlight.Check(folder);
        Assert.False(check.Go);
        CoverageHole hole = Assert.Single(check.Holes);
        Assert.True(check.ReflyMinutes > 1);
        (double west, double east) = CheckFlight.UnseenBetween(1, 6);
        (double West, double East, double South, double North) wanted = (west, east, 12, 105);
        (double West, double East, double South, double North) found = (
            hole.RingLocalMetres.Min(place => place.East),
            hole.RingLocalMetres.Max(place => place.East),
            hole.RingLocalMetres.Min(place => place.North),
            hole.RingLocalMetres.Max(place => place.North)
        );
        double shared =
            (Math.Min(wanted.East, found.East) - Math.Max(wanted.West, found.West))
            * (Math.Min(wanted.North, found.North) - Math.Max(wanted.South, found.South));
        double area = (east - west) * (105 - 12);
        Assert.True(shared / (area + hole.AreaSquareMetres - shared) >= 0.9, $"{found}, wanted {wanted}");
    }

    [Fact]
    public void Run_HolesNarrowerThanAsked_NotTold()
    {
        new CheckFlight { Keep = (line, _) => line is not (2 or 3 or 4) }.Write(folder);
        FieldCheckResult check = CheckFlight.Check(folder);
        Assert.Empty(check.Holes);
        Assert.True(check.Go);
    }

    [Fact]
    public void Run_BlurBurst_FoundExactly()
    {
        HashSet<(int, int)> planted = [(2, 4), (2, 5), (2, 6), (4, 8)];
        new CheckFlight { Blurred = (line, shot) => planted.Contains((line, shot)) }.Write(folder);
        FieldCheckResult check = CheckFlight.Check(folder);
        Assert.Equal(planted.Count, check.Findings.Count);
        Assert.All(check.Findings, finding => Assert.Equal(FrameFault.Blurred, finding.Fault));
    }

    [Fact]
    public void Run_SaturatedDarkMissingTruncated_EachTold()
    {
        new CheckFlight
        {
            Light = (line, shot) =>
                (line, shot) == (1, 3) ? 9
                : (line, shot) == (3, 3) ? 0.004
                : 1,
        }.Write(folder);
        File.Delete(folder.At("s-5-05-nir.tif"));
        byte[] whole = File.ReadAllBytes(folder.At("s-0-07-red.tif"));
        File.WriteAllBytes(folder.At("s-0-07-red.tif"), whole[..(whole.Length * 2 / 3)]);
        File.Copy(folder.At("s-2-02-red.tif"), folder.At("again.tif"));
        FieldCheckResult check = CheckFlight.Check(folder);
        int Of(FrameFault fault) => check.Findings.Count(finding => finding.Fault == fault);
        Assert.Equal(2, Of(FrameFault.Saturated));
        Assert.Equal(2, Of(FrameFault.Dark));
        Assert.Equal(1, Of(FrameFault.Unreadable));
        Assert.Equal(2, Of(FrameFault.MissingBand));
        Assert.Equal(1, Of(FrameFault.Duplicate));
        Assert.Equal(8, check.Findings.Count);
    }

    [Fact]
    public void Run_PositionLeaps_Found()
    {
        new CheckFlight { ShiftNorth = (line, shot) => (line, shot) is (3, 4) or (3, 5) ? 60 : 0 }.Write(folder);
        FieldCheckResult check = CheckFlight.Check(folder);
        Assert.Equal(2, check.Findings.Count);
        Assert.All(check.Findings, finding => Assert.Equal(FrameFault.PositionOutlier, finding.Fault));
    }

    [Fact]
    public void Run_PanelInShadowAndLightBroken_Told()
    {
        new CheckFlight { PanelAfter = 0.6, Irradiance = (line, shot) => (shot / 3 % 2) == 0 ? 1 : 0.7 }.Write(folder);
        FieldCheckResult check = CheckFlight.Check(folder);
        Assert.Empty(check.Findings);
        Assert.False(check.Light.Steady);
        Assert.True(check.Panel.LargestDisagreement > 0.3);
        Assert.Contains(check.Cautions, line => line.Contains("shadow"));
        Assert.Contains(check.Cautions, line => line.Contains("broken"));
    }

    [Fact]
    public void Run_PanelInShadowBeforeAndAfter_TellsThatTheLandWouldBeTooBright()
    {
        new CheckFlight { PanelBefore = 0.15, PanelAfter = 0.15 }.Write(folder);
        FieldCheckResult check = CheckFlight.Check(folder);
        Assert.True(check.Panel.LargestDisagreement < 0.05, $"{check.Panel}");
        Assert.Contains(check.Cautions, line => line.Contains("shadow", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData(1, 0.02, "only before the flight")]
    [InlineData(0.02, 1, "only after the flight")]
    [InlineData(0.02, 0.02, "none of 4")]
    public void Run_PanelTooDark_TellsThatItMayHaveLainInShadow(double before, double after, string told)
    {
        new CheckFlight { PanelBefore = before, PanelAfter = after }.Write(folder);
        FieldCheckResult check = CheckFlight.Check(folder);
        string line = Assert.Single(check.Cautions, line => line.Contains("shadow", StringComparison.Ordinal));
        Assert.Contains(told, line, StringComparison.Ordinal);
        Assert.Equal((before < 1 ? 2 : 0) + (after < 1 ? 2 : 0), check.Panel.TooDark);
    }

    [Fact]
    public void Run_AntennaBesideTheLens_HoleIsWhereTheLensDoesNotSee()
    {
        // Lines to and fro: an arm that is not applied pushes them apart or together by twice its length.
        Vector3D arm = new(4, 0, 0);
        CheckFlight flight = new() { Keep = (line, _) => line is not (2 or 3 or 4 or 5) };
        flight.Write(folder);
        CoverageHole wanted = Assert.Single(CheckFlight.Check(folder).Holes);
        using TestFolder other = new();
        (flight with { AntennaMetres = arm }).Write(other);
        CameraProfile profile = CheckFlight.Profile with { AntennaFromLensMetres = arm };
        CoverageHole found = Assert.Single(CheckFlight.Check(other, profile: profile).Holes);
        (double, double) Sides(CoverageHole hole) =>
            (hole.RingLocalMetres.Min(place => place.East), hole.RingLocalMetres.Max(place => place.East));
        Assert.Equal(Sides(wanted).Item1, Sides(found).Item1, 1.01);
        Assert.Equal(Sides(wanted).Item2, Sides(found).Item2, 1.01);
        CoverageHole? without = CheckFlight.Check(other).Holes.FirstOrDefault();
        Assert.True(without is null || Math.Abs(Sides(without).Item1 - Sides(wanted).Item1) > 2);
    }

    [Fact]
    public void Run_OtherNamesAndThreads_SameResult()
    {
        CheckFlight flight = new()
        {
            Blurred = (line, shot) => (line, shot) == (1, 5),
            Keep = (line, _) => line is not (2 or 3 or 4 or 5),
        };
        flight.Write(folder);
        string one = Plain(CheckFlight.Check(folder, threads: 1));
        string many = Plain(CheckFlight.Check(folder, threads: 4));
        Assert.Equal(one, many);
        using TestFolder other = new();
        (flight with { Name = (line, shot, band) => $"{band}/{99 - line}-{shot * 37 % 101}.tif" }).Write(other);
        FieldCheckResult renamed = CheckFlight.Check(other);
        FieldCheckResult first = CheckFlight.Check(folder);
        Assert.Equal(JsonSerializer.Serialize(first.Holes), JsonSerializer.Serialize(renamed.Holes));
        Assert.Equal(
            first.Findings.Select(finding => (finding.Fault, finding.Capture)),
            renamed.Findings.Select(finding => (finding.Fault, finding.Capture))
        );
    }

    private static string Plain(FieldCheckResult check) => JsonSerializer.Serialize(check);
}
