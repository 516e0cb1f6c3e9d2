using System.Globalization;
using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;
using Hillrow.TestSupport;

namespace Hillrow.Intake.Tests;

/// <summary>A light flight of a two-band camera over a plain: lines to the north and back, faults where they are planted.</summary>
internal sealed record CheckFlight
{
    private const int Rows = 48;
    private const int Columns = 64;
    private const int Lines = 7;
    private const int Shots = 14;
    private const double LineMetres = 12;
    private const double ShotMetres = 9;
    private const double HeightMetres = 60;

    /// <summary>In pixels: 64 columns see 48 m, 48 rows 36 m from 60 m.</summary>
    private const double FocalPixels = 80;

    private static readonly GeodeticPosition Origin = GeodeticPosition.FromDegrees(-12.5, -69.2, 1500);

    public Func<int, int, bool> Keep { get; init; } = (_, _) => true;

    public Func<int, int, bool> Blurred { get; init; } = (_, _) => false;

    public Func<int, int, double> Light { get; init; } = (_, _) => 1;

    public Func<int, int, double> Irradiance { get; init; } = (_, _) => 1;

    public Func<int, int, double> ShiftNorth { get; init; } = (_, _) => 0;

    public double PanelBefore { get; init; } = 1;

    public double PanelAfter { get; init; } = 1;

    /// <summary>From the lens, in the camera's frame.</summary>
    public Vector3D AntennaMetres { get; init; }

    public Func<int, int, string, string> Name { get; init; } =
        (line, shot, band) => string.Create(CultureInfo.InvariantCulture, $"s-{line}-{shot:00}-{band}.tif");

    public static CameraProfile Profile { get; } =
        IntakeCards.Profile with
        {
            Bands =
            [
                .. IntakeCards.Profile.Bands.Select(band =>
                    band with
                    {
                        Sensor = new BandSensor(Columns, Rows, 3.45, 12),
                        Lens = new BrownConradyLens(
                            Rows,
                            Columns,
                            new BrownConradyValues(
                                FocalPixels,
                                FocalPixels,
                                new PixelPoint(Columns / 2.0, Rows / 2.0),
                                0,
                                0,
                                0,
                                0,
                                0
                            )
                        ),
                    }
                ),
            ],
        };

    /// <summary>What lies between the frames of two lines, east.</summary>
    public static (double West, double East) UnseenBetween(int one, int other)
    {
        double half = HeightMetres * Columns / 2 / FocalPixels;
        return ((one * LineMetres) + half, (other * LineMetres) - half);
    }

    public void Write(TestFolder folder)
    {
        LocalFrame frame = new(Origin);
        DateTime clock = IntakeCards.Start;
        for (int panel = 0; panel < 2; panel++)
        {
            Shoot(folder, frame, clock = clock.AddSeconds(2), -1, panel, 0, PanelBefore);
        }

        clock = clock.AddSeconds(30);
        for (int line = 0; line < Lines; line++)
        {
            clock = clock.AddSeconds(8);
            for (int shot = 0; shot < Shots; shot++)
            {
                clock = clock.AddSeconds(1.5);
                if (Keep(line, shot))
                {
                    Shoot(folder, frame, clock, line, shot, 0, 1);
                }
            }
        }

        clock = clock.AddSeconds(30);
        for (int panel = 2; panel < 4; panel++)
        {
            Shoot(folder, frame, clock = clock.AddSeconds(2), -1, panel, 0, PanelAfter);
        }
    }

    public static FieldCheckResult Check(
        TestFolder folder,
        int threads = 2,
        IReadOnlyList<CaptureDecision>? decisions = null,
        WantedFlight? plan = null,
        CameraProfile? profile = null
    )
    {
        profile ??= Profile;
        IntakeResult intake = IntakeStage.Run(IntakeInput.OfFolder(folder.Path, profile), IntakeSettings.Default);
        HeightField plain = new(-200, 300, 50, 12, 12, new float[144]);
        (double, double)[] block = [(6, 12), (66, 12), (66, 105), (6, 105)];
        return FieldCheck.Run(
            new FieldCheckInput(
                intake,
                folder.Path,
                profile,
                new LocalFrame(Origin),
                plain,
                [new CheckBlock("Alto", [block])]
            )
            {
                Decisions = decisions ?? [],
                Plan = plan,
            },
            new FieldCheckSettings { Threads = threads, CellMetres = 1 }
        );
    }

    private void Shoot(
        TestFolder folder,
        LocalFrame frame,
        DateTime clock,
        int line,
        int shot,
        double down,
        double panelLight
    )
    {
        bool panel = line < 0;
        double along = line % 2 == 0 ? shot : Shots - 1 - shot;
        Vector3D at = panel
            ? new Vector3D(-20, -20, 1.2)
            : new Vector3D(line * LineMetres, (along * ShotMetres) + ShiftNorth(line, shot), HeightMetres);
        Attitude attitude = Attitude.FromDegrees(line % 2 == 0 ? 0 : 180, down, 0);
        GeodeticPosition place = frame.ToGeodetic(at + (attitude.EnuToCamera().Transposed() * AntennaMetres));
        double geoid = GeoidModel.Egm96.UndulationMetres(new GeographicPoint(place.Latitude, place.Longitude));
        bool blurred = !panel && Blurred(line, shot);
        double light = panel ? panelLight : Light(line, shot);
        Random noise = new((line * 100) + shot + 500);
        double[,] texture = new double[Rows + 8, Columns + 8];
        for (int row = 0; row < Rows + 8; row++)
        {
            for (int column = 0; column < Columns + 8; column++)
            {
                texture[row, column] =
                    600 + (300 * Math.Sin(0.21 * row) * Math.Cos(0.17 * column)) + noise.Next(-120, 120);
            }
        }

        foreach (string band in new[] { "red", "nir" })
        {
            double Sample(int row, int column)
            {
                double sum = 0;
                int reach = blurred ? 5 : 1;
                for (int step = 0; step < reach * reach; step++)
                {
                    sum += texture[row + (step / reach), column + (step % reach)];
                }

                return Math.Min(4095, panel ? 1500 * light : sum / (reach * reach) * light);
            }

            CardSpecimen.Write(
                folder.At(panel ? $"p-{shot}-{band}.tif" : Name(line, shot, band)),
                new FrameSpecimen
                {
                    Rows = Rows,
                    Columns = Columns,
                    Sample = Sample,
                    CaptureId = $"{line}/{shot}",
                    Band = band,
                    Clock = clock,
                    SatelliteUtc = clock.AddHours(5),
                    LatitudeDegrees = place.Latitude.Degrees,
                    LongitudeDegrees = place.Longitude.Degrees,
                    HeightMetres = place.HeightAboveEllipsoidMetres - geoid,
                    ExposureSeconds = 0.001,
                    Gain = 1,
                    Irradiance = panel ? 1 : Irradiance(line, shot),
                    AttitudeDegrees = (line % 2 == 0 ? 0 : 180, down, 0),
                    Panel = panel ? "P" : null,
                }
            );
        }
    }
}
