using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.TestSupport;
using Xunit;

namespace Hillrow.Intake.Tests;

/// <summary>What concerns a survey as a whole: clock, second cameras, leaps that stay, files cut short.</summary>
public sealed class SurveyWideFindingsTests : IDisposable
{
    private readonly TestFolder folder = new();

    public void Dispose() => folder.Dispose();

    [Theory]
    [InlineData(7, true)] // sun below the horizon
    [InlineData(0, false)]
    public void Run_ClockWithZoneButNoReceiver_LowSunIsTold(int hoursOff, bool told)
    {
        // 10:00 at 69° W with its own zone is mid-morning; seven hours later the sun has just set.
        for (int capture = 0; capture < 6; capture++)
        {
            Write(
                $"c{capture}-red.tif",
                IntakeCards.Frame(capture, "red") with
                {
                    Clock = IntakeCards.Start.AddHours(8 + hoursOff).AddSeconds(2 * capture),
                    SatelliteUtc = null,
                }
            );
        }

        // The zone is not in the files: it is given, as the profile would.
        IntakeResult result = IntakeStage.Run(
            IntakeInput.OfFolder(folder.Path, IntakeCards.Profile),
            IntakeSettings.Default with
            {
                ClockOffsetMinutes = 0,
            }
        );
        Assert.Equal(told, result.Notes.Any(note => note.Fault == FrameFault.Clock));
    }

    [Fact]
    public void Run_SecondCameraOfTheSameModel_IsSetApartInOneLine()
    {
        for (int capture = 0; capture < 9; capture++)
        {
            foreach (string band in new[] { "red", "nir" })
            {
                Write($"a/{capture}-{band}.tif", IntakeCards.Frame(capture, band));
            }
        }

        IntakeResult alone = Take();
        List<CardFrame> frames = [];
        foreach (IntakeCapture one in alone.Captures)
        {
            foreach (BandFrame frame in one.Capture.Frames)
            {
                bool second = one.Capture.Id.CompareTo("0007") > 0;
                frames.Add(
                    new CardFrame(frame.File, null, 0, 1, frame.Band, new FrameMetadata())
                    {
                        Mark = new CameraMark("Invented pair", second ? "B" : "A"),
                    }
                );
            }
        }

        List<IntakeNote> notes = [];
        IReadOnlyList<CardFrame> kept = CameraSplit.Keep(IntakeCards.Profile, frames, notes);
        Assert.Equal(14, kept.Count);
        IntakeNote note = Assert.Single(notes);
        Assert.Equal(4, note.Files);
        Assert.Equal(FrameFault.OtherCamera, note.Fault);
        Assert.Contains("serial number B", note.What, StringComparison.Ordinal);
    }

    [Fact]
    public void Keep_SerialNumberOfEachBandsSensor_IsOneCamera()
    {
        CardFrame[] frames =
        [
            .. Enumerable
                .Range(0, 20)
                .Select(at => new CardFrame($"{at}.tif", null, 0, 1, at % 2 == 0 ? "red" : "nir", new FrameMetadata())
                {
                    Mark = new CameraMark("Invented pair", at % 2 == 0 ? "R1" : "N1"),
                }),
        ];
        List<IntakeNote> notes = [];
        Assert.Equal(20, CameraSplit.Keep(IntakeCards.Profile, frames, notes).Count);
        Assert.Empty(notes);
    }

    [Fact]
    public void Keep_ManyForeignFiles_AreOneNote()
    {
        List<IntakeNote> notes =
        [
            .. Enumerable
                .Range(0, 50)
                .Select(at => new IntakeNote(NoteWeight.Excluded, $"{at}.tif", "belongs to no band.", "Mend it.")
                {
                    Fault = FrameFault.OtherCamera,
                    Camera = "Other",
                }),
        ];
        CameraSplit.Keep(IntakeCards.Profile, [], notes);
        Assert.Equal(50, Assert.Single(notes).Files);
    }

    [Fact]
    public void Find_PositionLeapsAndStays_ToldAtTheLeapOnly()
    {
        (Vector3D[] places, double[] seconds) = Flight((_, at) => at >= 25 ? 60 : 0);
        double[] leaps = PositionJumps.Find(places, seconds, 30, out double[] stays);
        Assert.All(leaps, leap => Assert.Equal(0, leap));
        Assert.Equal([25], Enumerable.Range(0, places.Length).Where(at => stays[at] > 0));
    }

    [Fact]
    public void Find_CleanFlightWithTurnsAndTransit_NothingLeaps()
    {
        (Vector3D[] places, double[] seconds) = Flight((_, _) => 0);
        Assert.All(PositionJumps.Find(places, seconds, 30, out double[] stays), leap => Assert.Equal(0, leap));
        Assert.All(stays, stay => Assert.Equal(0, stay));
    }

    [Fact]
    public void Of_JpegWithoutItsEnd_IsToldFromTheMetadataAlone()
    {
        byte[] whole = JpegSpecimen.With(JpegSpecimen.Grey(), null, null);
        CameraProfile profile = IntakeCards.Profile with
        {
            Bands =
            [
                IntakeCards.Profile.Bands[0] with
                {
                    Name = "grey",
                    Sensor = new BandSensor(JpegSpecimen.Columns, JpegSpecimen.Rows, 3, 8),
                },
            ],
        };
        Assert.DoesNotContain(
            CardFileReading.Of(profile, "grey.jpg", whole, null, look: false).Problems,
            line => line.Contains("cut short", StringComparison.Ordinal)
        );
        Assert.Contains(
            CardFileReading.Of(profile, "grey.jpg", whole[..^9], null, look: false).Problems,
            line => line.Contains("cut short", StringComparison.Ordinal)
        );
        // What some cameras append behind the picture is no damage.
        Assert.DoesNotContain(
            CardFileReading.Of(profile, "grey.jpg", (byte[])[.. whole, 1, 2, 3], null, look: false).Problems,
            line => line.Contains("cut short", StringComparison.Ordinal)
        );
    }

    [Fact]
    public void Of_CutSoThatNothingTellsTheBand_IsToldAsCutShort()
    {
        string file = folder.At("0001.tif");
        CardSpecimen.Write(file, IntakeCards.Frame(1, "red") with { Band = null });
        byte[] whole = File.ReadAllBytes(file);
        Assert.Contains("belongs to no band", Problem(whole), StringComparison.Ordinal);
        Assert.Contains("cut short", Problem(whole[..^2]), StringComparison.Ordinal);

        static string Problem(byte[] content) =>
            Assert.Single(CardFileReading.Of(IntakeCards.Profile, "0001.tif", content, null, look: false).Problems);
    }

    private static (Vector3D[] Places, double[] Seconds) Flight(Func<int, int, double> north)
    {
        List<Vector3D> places = [];
        List<double> seconds = [];
        double time = 0;
        for (int line = 0; line < 4; line++)
        {
            for (int shot = 0; shot < 12; shot++)
            {
                int at = places.Count;
                places.Add(new Vector3D((line % 2 == 0 ? shot : 11 - shot) * 11, (line * 40) + north(line, at), 60));
                seconds.Add(time);
                time += 2.2;
            }

            time += 7;
        }

        return ([.. places], [.. seconds]);
    }

    private void Write(string name, FrameSpecimen frame) => CardSpecimen.Write(folder.At(name), frame);

    private IntakeResult Take() =>
        IntakeStage.Run(IntakeInput.OfFolder(folder.Path, IntakeCards.Profile), IntakeSettings.Default);
}
