using System.Globalization;
using System.Text.Json;
using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.TestSupport;
using Xunit;

namespace Hillrow.Intake.Tests;

public sealed class IntakeStageTests : IDisposable
{
    private readonly TestFolder folder = new();

    public void Dispose() => folder.Dispose();

    [Fact]
    public void Run_CleanLine_GroupsByIdInOrder()
    {
        IntakeCards.Fly(
            folder,
            6,
            (capture, band) => $"card/{band}/{99 - capture}.tif",
            frame => WithSatellite(frame) with { Panel = frame.CaptureId == "C0" ? "seen" : null }
        );
        IntakeResult result = Run();
        Assert.Empty(result.Outcome.Reasons);
        Assert.Equal(StageVerdict.Done, result.Outcome.Verdict);
        Assert.All(result.Captures, entry => Assert.Equal(2, entry.Capture.Frames.Count));
        Assert.All(result.Captures.Skip(1), entry => Assert.Equal(CaptureRole.Survey, entry.Role));
        Assert.Equal(["0001", "0002", "0003", "0004", "0005", "0006"], result.Captures.Select(e => e.Capture.Id));
        Capture first = result.Captures[0].Capture;
        Assert.Equal("card/red/99.tif", first.FrameOf("red")!.File);
        Assert.Equal(0.001, first.FrameOf("nir")!.ExposureSeconds);
        Assert.Equal(12, result.Irradiance.Count);
        Assert.Equal(1.01, result.Irradiance[2].Irradiance, 12);
        Assert.Single(result.Sorties);
    }

    [Fact]
    public void Run_CameraClockInLocalTime_SatelliteTimeSettlesIt()
    {
        Fly(4);
        DateTimeOffset? time = Run().Captures[0].Capture.TimeUtc;
        Assert.Equal(new DateTimeOffset(IntakeCards.Start.AddHours(5), TimeSpan.Zero), time);
    }

    [Fact]
    public void Run_NoZoneAnywhere_SunSettlesItAndItIsTold()
    {
        // 10:00 local time at 69° west: as UTC the sun would stand low in the east, five hours later it stands high.
        IntakeCards.Fly(folder, 3, Name, frame => frame);
        IntakeResult result = Run();
        Assert.Equal(15, result.Captures[0].Capture.TimeUtc!.Value.Hour);
        Assert.Contains(result.Notes, note => note.Weight == NoteWeight.Assumed && note.What.Contains("zone"));
    }

    [Fact]
    public void Run_HeightAboveSeaLevel_BecomesEllipsoidal()
    {
        Fly(4);
        CapturePosition at = Run().Captures[0].Capture.Position!;
        double undulation = GeoidModel.Egm96.UndulationMetres(new GeographicPoint(at.Latitude, at.Longitude));
        Assert.Equal(VerticalReference.Ellipsoid, at.HeightReference);
        Assert.Equal(1500 + undulation, at.HeightMetres, 9);
        Assert.True(Math.Abs(undulation) > 1);
    }

    [Theory]
    [InlineData("shot_{0}_{1}.tif")]
    [InlineData("{1}/shot{0}.tif")]
    [InlineData("{1}{0}.tif")]
    public void Run_NoIds_GroupsByNameOrTime(string pattern)
    {
        IntakeCards.Fly(
            folder,
            5,
            (capture, band) => string.Format(CultureInfo.InvariantCulture, pattern, capture, band),
            frame => WithSatellite(frame) with { CaptureId = null }
        );
        IntakeResult result = Run();
        Assert.Equal(5, result.Captures.Count);
        Assert.All(result.Captures, entry => Assert.Equal(2, entry.Capture.Frames.Count));
    }

    [Fact]
    public void Run_SameCardTwice_CountsOnce()
    {
        IntakeCards.Fly(folder, 4, (capture, band) => $"first/{capture}-{band}.tif", WithSatellite);
        IntakeCards.Fly(folder, 4, (capture, band) => $"second/{capture}-{band}.tif", WithSatellite);
        IntakeResult result = Run();
        Assert.Equal(4, result.Captures.Count);
        Assert.Equal(8, result.Counts.Copies);
    }

    [Fact]
    public void Run_CounterStartsAgain_TimeTellsCapturesApart()
    {
        IntakeCards.Fly(folder, 4, (capture, band) => $"first/{capture}-{band}.tif", WithSatellite);
        IntakeCards.Fly(
            folder,
            4,
            (capture, band) => $"second/{capture}-{band}.tif",
            frame => WithSatellite(frame with { Clock = frame.Clock!.Value.AddMinutes(40) })
        );
        IntakeResult result = Run();
        Assert.Equal(8, result.Captures.Count);
        Assert.Equal(0, result.Counts.Copies);
        Assert.Equal(["sortie-1", "sortie-2"], result.Sorties.Select(sortie => sortie.Name));
    }

    [Fact]
    public void Run_DamagedMissingAndOther_AllNoted()
    {
        Fly(5);
        byte[] whole = File.ReadAllBytes(folder.At("1-red.tif"));
        File.WriteAllBytes(folder.At("1-red.tif"), whole[..40]);
        File.Delete(folder.At("3-nir.tif"));
        File.WriteAllText(folder.At("flight.log"), "x");
        CardSpecimen.Write(folder.At("other.tif"), IntakeCards.Frame(2, "red") with { Band = "cyan", CaptureId = "X" });
        CardSpecimen.Write(folder.At("big.tif"), IntakeCards.Frame(2, "red") with { Rows = 7, CaptureId = "Y" });
        IntakeResult result = Run();
        Assert.Equal(StageVerdict.Degraded, result.Outcome.Verdict);
        Assert.Equal(5, result.Captures.Count);
        IntakeNote[] excluded = [.. result.Notes.Where(note => note.Weight == NoteWeight.Excluded)];
        Assert.Contains(excluded, note => note.Where == "1-red.tif");
        Assert.Contains(
            excluded,
            note => note.Where.Contains("3-red.tif") && note.What.Contains("band nir is missing")
        );
        Assert.Contains(excluded, note => note.Where == "other.tif" && note.What.Contains("cyan"));
        Assert.Contains(excluded, note => note.Where == "big.tif" && note.What.Contains("8 × 7"));
        Assert.Equal(1, result.Counts.OtherFiles);
    }

    [Fact]
    public void Run_FileNamedAfterOtherBand_MetadataWin()
    {
        IntakeCards.Fly(
            folder,
            3,
            (capture, band) => $"{capture}-{(band == "red" ? "nir" : "red")}.tif",
            WithSatellite
        );
        IntakeResult result = Run();
        Assert.Equal("0-nir.tif", result.Captures[0].Capture.FrameOf("red")!.File);
        Assert.Contains(result.Notes, note => note.What.Contains("taken as red"));
    }

    [Theory]
    [InlineData("red edge/1.tif", "red edge")]
    [InlineData("red/1.tif", "red")]
    [InlineData("x/IMG_0001_red-edge.tif", "red edge")]
    [InlineData("red/IMG_0001_nir.tif", "nir")]
    [InlineData("card/1.tif", null)]
    public void Of_NameOfFileOrFolder_LongestBandNameCounts(string file, string? band)
    {
        CameraProfile profile = IntakeCards.Profile;
        profile = profile with { Bands = [.. profile.Bands, profile.Bands[0] with { Name = "red edge" }] };
        Assert.Equal(band, BandIdentity.Of(profile, new FrameMetadata(), file, 0, 1, []));
    }

    [Fact]
    public void Run_PanelMarkerOrHand_GivesRole()
    {
        IntakeCards.Fly(
            folder,
            6,
            Name,
            frame => WithSatellite(frame) with { Panel = frame.CaptureId == "C0" ? "P-7" : null }
        );
        IntakeSettings settings = new()
        {
            RolesByHand = new Dictionary<string, CaptureRole> { ["5-red.tif"] = CaptureRole.Panel },
        };
        IntakeResult result = IntakeStage.Run(Input(), settings);
        Assert.Equal(RoleSource.ByMarker, result.Captures[0].Source);
        Assert.Equal(RoleSource.ByHand, result.Captures[5].Source);
        Assert.Equal(["0001", "0006"], result.OfRole(CaptureRole.Panel).Select(capture => capture.Id));
    }

    [Fact]
    public void Run_StandingBeforeTakeOff_TriedAsPanelAndTold()
    {
        IntakeCards.Fly(
            folder,
            9,
            Name,
            frame =>
            {
                int capture = int.Parse(frame.CaptureId![1..], CultureInfo.InvariantCulture);
                return WithSatellite(frame) with
                {
                    LatitudeDegrees = capture < 3 ? -12.5 : frame.LatitudeDegrees,
                    HeightMetres = capture < 3 ? 1450 : 1500,
                };
            }
        );
        IntakeResult result = Run();
        Assert.Equal(["0001", "0002", "0003"], result.OfRole(CaptureRole.Panel).Select(capture => capture.Id));
        Assert.Equal(6, result.OfRole(CaptureRole.Survey).Count);
        Assert.Contains(result.Notes, note => note.What.Contains("tried as panel"));
    }

    [Fact]
    public void Run_SteepBank_IsATurn()
    {
        IntakeCards.Fly(
            folder,
            7,
            Name,
            frame => WithSatellite(frame) with { AttitudeDegrees = (0, 0, frame.CaptureId == "C3" ? 32 : 3) }
        );
        IntakeResult result = Run();
        Assert.Equal(["0004"], result.OfRole(CaptureRole.Turn).Select(capture => capture.Id));
    }

    [Fact]
    public void Run_Result_GoesThroughJsonUnchanged()
    {
        Fly(4);
        IntakeResult result = Run();
        string once = JsonSerializer.Serialize(result);
        IntakeResult back = JsonSerializer.Deserialize<IntakeResult>(once)!;
        Assert.Equal(once, JsonSerializer.Serialize(back));
        Capture before = result.Captures[2].Capture;
        Capture after = back.Captures[2].Capture;
        Assert.Equal(before.Position, after.Position);
        Assert.Equal(before.Attitude, after.Attitude);
        Assert.Equal(before.TimeUtc, after.TimeUtc);
        Assert.Equal(before.Frames, after.Frames);
    }

    [Fact]
    public void Run_OneThreadOrMany_SameResult()
    {
        Fly(6);
        string one = JsonSerializer.Serialize(IntakeStage.Run(Input(), new IntakeSettings { Threads = 1 }));
        string many = JsonSerializer.Serialize(IntakeStage.Run(Input(), new IntakeSettings { Threads = 4 }));
        Assert.Equal(one, many);
    }

    [Fact]
    public void Run_EmptyFolder_SaysHowToMend() => Assert.Throws<InputProblemException>(Run);

    private static string Name(int capture, string band) => $"{capture}-{band}.tif";

    private static FrameSpecimen WithSatellite(FrameSpecimen frame) =>
        frame with
        {
            SatelliteUtc = frame.Clock!.Value.AddHours(5),
        };

    private void Fly(int captures) => IntakeCards.Fly(folder, captures, Name, WithSatellite);

    private IntakeInput Input() => IntakeInput.OfFolder(folder.Path, IntakeCards.Profile);

    private IntakeResult Run() => IntakeStage.Run(Input(), IntakeSettings.Default);
}
