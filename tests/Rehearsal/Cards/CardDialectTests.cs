using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.TestSupport;
using Xunit;

namespace Hillrow.Rehearsal.Tests;

/// <summary>Every dialect must read back, by its own profile, to the same captures.</summary>
public sealed class CardDialectTests
{
    private const int Columns = 12;
    private const int Rows = 8;

    public static TheoryData<string> Names => [.. CardDialect.All.Select(dialect => dialect.Name)];

    [Theory]
    [MemberData(nameof(Names))]
    public void Write_AnyDialect_ReadsBackToTheCapture(string name)
    {
        CardDialect dialect = CardDialect.Named(name);
        RehearsalCapture capture = Invented(isPanel: true);
        IReadOnlyList<(FrameMetadata Read, ushort[] Counts)> frames = WriteAndRead(dialect, capture);
        Assert.Equal(5, frames.Count);
        for (int band = 0; band < 5; band++)
        {
            FrameMetadata read = frames[band].Read;
            Assert.Empty(read.Complaints);
            Assert.Equal(capture.ReportedPlace.Latitude.Degrees, read.Latitude!.Value.Degrees, 2e-8);
            Assert.Equal(capture.ReportedPlace.Longitude.Degrees, read.Longitude!.Value.Degrees, 2e-8);
            Height height = new(read.HeightMetres!.Value, read.HeightReference);
            GeographicPoint place = new(capture.ReportedPlace.Latitude, capture.ReportedPlace.Longitude);
            Assert.Equal(
                capture.ReportedPlace.HeightAboveEllipsoidMetres,
                height.EllipsoidalMetres(place, GeoidModel.Egm96),
                0.006
            );
            Assert.Equal(capture.Exposures[band].Seconds, read.ExposureSeconds!.Value, 2e-8);
            Assert.Equal(capture.Exposures[band].Gain, read.Gain!.Value, 1e-5);
            Assert.Equal(
                0,
                Angle.FromDegrees(capture.Reported.YawDegrees - read.Yaw!.Value.Degrees).WrappedSigned().Degrees,
                1e-4
            );
            Assert.Equal(capture.Reported.PitchDegrees, read.Pitch!.Value.Degrees, 1e-4);
            Assert.Equal(capture.Reported.RollDegrees, read.Roll!.Value.Degrees, 1e-4);
            Assert.Equal(0, (capture.Moment - read.Time!.TimeUtc!.Value).TotalMilliseconds, 1.0);
            Assert.NotNull(read.CaptureId);
            Assert.Equal(capture.Frames[band], frames[band].Counts);
        }
    }

    [Theory]
    [MemberData(nameof(Names))]
    public void Write_AnyDialect_IrradianceKeepsItsRatios(string name)
    {
        CardDialect dialect = CardDialect.Named(name);
        RehearsalCapture dim = Invented(isPanel: false);
        RehearsalCapture bright = dim with { Irradiance = [.. dim.Irradiance.Select(value => value * 1.5)] };
        IReadOnlyList<(FrameMetadata Read, ushort[] Counts)> first = WriteAndRead(dialect, dim);
        IReadOnlyList<(FrameMetadata Read, ushort[] Counts)> second = WriteAndRead(dialect, bright);
        for (int band = 0; band < 5; band++)
        {
            double one = Of(first[band].Read, band);
            double two = Of(second[band].Read, band);
            Assert.Equal(1.5, two / one, 1e-4);
            Assert.Equal(dialect.Irradiance, first[band].Read.IrradianceUnit);
            if (dialect.Irradiance == IrradianceUnit.WattsPerSquareMetreNanometre)
            {
                Assert.Equal(dim.Irradiance[band], one, 1e-6);
            }
        }

        static double Of(FrameMetadata read, int band) =>
            read.Irradiances!.Count == 1 ? read.Irradiances[0] : read.Irradiances[band];
    }

    [Theory]
    [MemberData(nameof(Names))]
    public void Write_ThermalFrame_ReadsBackByTheProfile(string name)
    {
        CardDialect dialect = CardDialect.Named(name);
        CameraProfile profile = CameraProfile.Parse(
            NominalProfile.Of(TrueRig.Build(3), dialect, PanelBoard.Build(3, Vector3D.Zero), thermal: true).ToToml(),
            name
        );
        Assert.Equal(6, profile.Bands.Count);
        CameraBand band = profile.ThermalBand!;
        SplittableRandom draw = new(3);
        ThermalFrame warm = new(
            [
                .. Enumerable
                    .Range(0, ThermalCamera.Columns * ThermalCamera.Rows)
                    .Select(_ => (ushort)draw.NextInt32(1 << ThermalCamera.Bits)),
            ],
            303.4
        );
        RehearsalCapture capture = Invented(isPanel: false) with { Thermal = warm };
        (FrameMetadata Read, ushort[] Counts)[] frames =
        [
            .. WriteAndRead(dialect, capture, stored: true)
                .Where(frame =>
                    frame.Read.BandName == band.Name
                    || (frame.Read.CentreNanometres is { } centre && Math.Abs(centre - band.CentreNanometres) < 1)
                ),
        ];
        (FrameMetadata read, ushort[] counts) = Assert.Single(frames);
        Assert.Empty(read.Complaints);
        Assert.Equal(warm.Counts.Select(count => (int)count), counts.Select(band.Sensor.CountOf));
        Assert.Equal(303.4 - 273.15, read.TemperatureCelsius!.Value, 0.06);
        // In a file of several pages the first one speaks for what the others leave out.
        Assert.Equal(name == "cerro" ? capture.Exposures[0].Seconds : null, read.ExposureSeconds);
        Assert.Equal(capture.ReportedPlace.Latitude.Degrees, read.Latitude!.Value.Degrees, 2e-8);
        Assert.Equal(capture.Reported.PitchDegrees, read.Pitch!.Value.Degrees, 1e-4);
        Assert.Equal(0, (capture.Moment - read.Time!.TimeUtc!.Value).TotalMilliseconds, 1.0);
        Assert.NotNull(read.CaptureId);
    }

    [Theory]
    [MemberData(nameof(Names))]
    public void Write_PanelPicture_MarkerOnlyThere(string name)
    {
        CardDialect dialect = CardDialect.Named(name);
        bool tells = dialect.Map.Values.ContainsKey(FrameQuantity.PanelMarker);
        Assert.Equal(name != "loma", tells);
        Assert.All(WriteAndRead(dialect, Invented(isPanel: false)), frame => Assert.Null(frame.Read.PanelMarker));
        Assert.All(
            WriteAndRead(dialect, Invented(isPanel: true)),
            frame => Assert.Equal(tells ? NominalProfile.PanelWord : null, frame.Read.PanelMarker)
        );
    }

    [Theory]
    [MemberData(nameof(Names))]
    public void Write_AnyDialect_BandsCanBeToldApart(string name)
    {
        CardDialect dialect = CardDialect.Named(name);
        IReadOnlyList<(FrameMetadata Read, ushort[] Counts)> frames = WriteAndRead(dialect, Invented(isPanel: false));
        for (int band = 0; band < 5; band++)
        {
            FrameMetadata read = frames[band].Read;
            Assert.True(
                read.BandName == RigBand.Five[band].Name
                    || read.CentreNanometres is { } centre
                        && Math.Abs(centre - RigBand.Five[band].CentreNanometres) < 1e-6
            );
        }
    }

    [Theory]
    [MemberData(nameof(Names))]
    public void Profile_OfDialect_ReadsBackWithNominalValues(string name)
    {
        CardDialect dialect = CardDialect.Named(name);
        TrueRig rig = TrueRig.Build(3);
        CameraProfile profile = CameraProfile.Parse(
            NominalProfile.Of(rig, dialect, PanelBoard.Build(3, Vector3D.Zero)).ToToml(),
            name
        );
        Assert.Equal(5, profile.Bands.Count);
        for (int band = 0; band < 5; band++)
        {
            RigLens nominal = rig.Nominal[band];
            CameraBand read = profile.Bands[band];
            Assert.True(read.Lens.TryProject(new Vector3D(0.2, -0.15, 1), out PixelPoint pixel));
            PixelPoint wanted = nominal.Lens.Project(new Vector3D(0.2, -0.15, 1));
            Assert.Equal(wanted.Column, pixel.Column, 1e-6);
            Assert.Equal(wanted.Row, pixel.Row, 1e-6);
            Vector3D point = new(1.5, -2, 40);
            Vector3D inBand = nominal.CameraToRig.Transposed() * (point - nominal.OffsetMetres);
            Assert.Equal(0, (inBand - read.Mount.ToBand(point)).Length, 1e-9);
            Assert.Equal(
                nominal.Sensor.Transmission(300, 200),
                ((VignettingFormula)read.Vignetting).FalloffAt(new PixelPoint(300, 200), TrueRig.Rows, TrueRig.Columns),
                1e-9
            );
        }
    }

    [Fact]
    public void All_Dialects_DifferInNamespaceAndModel()
    {
        Assert.True(CardDialect.All.Count >= 4);
        Assert.Equal(CardDialect.All.Count, CardDialect.All.Select(dialect => dialect.Model).Distinct().Count());
        foreach (CardDialect dialect in CardDialect.All)
        {
            Assert.All(
                dialect
                    .Map.Values.Values.SelectMany(rules => rules)
                    .Where(rule => rule.Property?.NamespaceUri is { Length: > 0 }),
                rule =>
                    Assert.StartsWith(
                        "http://hillrow.example/",
                        rule.Property!.Value.NamespaceUri,
                        StringComparison.Ordinal
                    )
            );
        }
    }

    private static List<(FrameMetadata Read, ushort[] Counts)> WriteAndRead(
        CardDialect dialect,
        RehearsalCapture capture,
        bool stored = false
    )
    {
        string folder = Directory.CreateTempSubdirectory("card").FullName;
        try
        {
            dialect.Write(
                folder,
                capture,
                new CardCamera("HR000003", [203, 202.5, 201, 204, 203.25], Columns, Rows, 1.5)
            );
            List<(FrameMetadata, ushort[])> frames = [];
            IEnumerable<string> files = capture.Thermal is null
                ? dialect.FilesOf(capture.Number)
                : dialect.FilesOf(capture.Number).Append(dialect.ThermalFileOf(capture.Number)).Distinct();
            foreach (string file in files)
            {
                string path = Path.Combine(folder, file);
                IReadOnlyList<PropertyBag> bags = PropertyBag.ReadPages(path);
                for (int page = 0; page < bags.Count; page++)
                {
                    Assert.Empty(bags[page].Complaints);
                    ushort[] counts = PictureReader.Read(path, page: page).Counts(0).ToArray();
                    frames.Add(
                        (
                            dialect.Map.Evaluate(bags[page], path),
                            stored || dialect.Placement == BitPlacement.High
                                ? counts
                                : Array.ConvertAll(counts, count => (ushort)(count << 4))
                        )
                    );
                }
            }

            return frames;
        }
        finally
        {
            Directory.Delete(folder, recursive: true);
        }
    }

    private static RehearsalCapture Invented(bool isPanel)
    {
        SplittableRandom draw = new(11);
        return new RehearsalCapture(
            7,
            isPanel,
            new DateTimeOffset(2026, 4, 12, 14, 33, 7, 250, TimeSpan.Zero),
            [
                .. Enumerable
                    .Range(0, 5)
                    .Select(_ =>
                        Enumerable.Range(0, Columns * Rows).Select(_ => (ushort)(draw.NextInt32(4096) << 4)).ToArray()
                    ),
            ],
            [new(1 / 2000.0, 1), new(1 / 1587.4, 1), new(1 / 1000.0, 2), new(1 / 630.0, 1), new(1 / 400.0, 4)],
            GeodeticPosition.FromDegrees(-14.237134567, -57.486198765, 1244.318),
            new RigPose(new Vector3D(12, -5, 64), -91.2345, 2.3456, -3.4567),
            [1.1234567, 1.2345678, 1.1456789, 1.0567891, 0.8678912],
            new CaptureTruth(7, 21, default, default, [], 1, 1, [], 0.03, null, [])
        );
    }
}
