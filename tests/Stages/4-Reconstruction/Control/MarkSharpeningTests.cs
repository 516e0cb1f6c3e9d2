using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;
using Xunit;

namespace Hillrow.Reconstruction.Tests.Control;

public sealed class MarkSharpeningTests
{
    private const int Rows = 120;
    private const int Columns = 160;

    private static readonly Vector3D Board = new(1.3, -0.7, 0.2);

    private static readonly Lens Lens = new BrownConradyLens(
        Rows,
        Columns,
        new BrownConradyValues(400, 400, new PixelPoint(Columns / 2.0, Rows / 2.0))
    );

    private static readonly SightedFrame[] Frames =
    [
        .. new[] { (0.0, 0.0), (1.5, 0.5), (-0.5, 0.5), (2, -1.5), (0.5, -1.5), (-0.5, -1) }.Select(
            at => new SightedFrame(
                CameraPose.FromAttitude(new Vector3D(at.Item1, at.Item2, 20), Attitude.FromDegrees(90, 0, 0)),
                Lens
            )
        ),
    ];

    [Fact]
    public void Marks_of_a_board_come_to_its_middle_in_every_frame()
    {
        ControlSpot sharp = MarkSharpening.Of(Input(boards: true), Frames, [Marked(0.6)], new ParallelOptions())[0];
        Assert.Equal(Frames.Length, sharp.Marks.Count);
        foreach (ControlSight mark in sharp.Marks)
        {
            PixelPoint truth = PixelOf(mark.Capture);
            Assert.InRange(mark.Pixel.Column - truth.Column, -0.25, 0.25);
            Assert.InRange(mark.Pixel.Row - truth.Row, -0.25, 0.25);
        }
    }

    [Fact]
    public void Marks_of_what_is_no_board_stay()
    {
        ControlSpot given = Marked(0.6);
        Assert.Same(given, MarkSharpening.Of(Input(boards: false), Frames, [given], new ParallelOptions())[0]);
    }

    [Fact]
    public void A_board_away_from_the_marks_is_not_taken()
    {
        ControlSpot given = Marked(6);
        Assert.Same(given, MarkSharpening.Of(Input(boards: true), Frames, [given], new ParallelOptions())[0]);
    }

    /// <summary>Three marks, off by so many pixels in a row's direction; the place stays the true one.</summary>
    private static ControlSpot Marked(double offPixels) =>
        new(
            "a",
            Board,
            new KnownPlace(Board, 0.02, 0.03),
            [
                .. Enumerable
                    .Range(0, 3)
                    .Select(capture => new ControlSight(
                        capture,
                        PixelOf(capture) with
                        {
                            Column = PixelOf(capture).Column + offPixels,
                        },
                        0.35
                    )),
            ]
        );

    private static PixelPoint PixelOf(int capture)
    {
        Assert.True(Lens.TryProject(Frames[capture].Pose.ToCamera(Board), out PixelPoint pixel));
        return pixel;
    }

    private static ReconstructionInput Input(bool boards)
    {
        Capture[] captures =
        [
            .. Enumerable
                .Range(0, Frames.Length)
                .Select(index => new Capture
                {
                    Id = $"{index}",
                    Frames = [new BandFrame { Band = "green", File = $"{index}" }],
                }),
        ];
        CameraProfile profile = new()
        {
            Name = "plain camera",
            ReferenceBandName = "green",
            ShortestTriggerIntervalSeconds = 1,
            Bands =
            [
                new CameraBand
                {
                    Name = "green",
                    CentreNanometres = 550,
                    WidthNanometres = 40,
                    Sensor = new BandSensor(Columns, Rows, 4, 12),
                    Lens = Lens,
                    Mount = CameraMount.Reference,
                },
            ],
        };
        return new ReconstructionInput(
            captures,
            profile,
            null!,
            (capture, _, counts) =>
                Draw(int.Parse(capture.Id, System.Globalization.CultureInfo.InvariantCulture), boards, counts),
            ReferenceSystem.UtmAt(GeographicPoint.FromDegrees(5, -75))
        );
    }

    /// <summary>A board of 0.8 m, each pixel the mean of sixteen places; or a smooth slope of brightness.</summary>
    private static void Draw(int capture, bool boards, Span<ushort> counts)
    {
        PixelPoint middle = PixelOf(capture);
        for (int row = 0; row < Rows; row++)
        {
            for (int column = 0; column < Columns; column++)
            {
                double sum = 0;
                for (int part = 0; part < 16; part++)
                {
                    double u = column + ((part % 4) + 0.5) / 4 - middle.Column;
                    double v = row + ((part / 4) + 0.5) / 4 - middle.Row;
                    bool inside = boards && Math.Abs(u) < 8 && Math.Abs(v) < 8;
                    sum += inside ? ((u > 0) == (v > 0) ? 2500 : 300) : 900 + (3 * column) + (2 * row);
                }

                counts[(row * Columns) + column] = (ushort)(sum / 16);
            }
        }
    }
}
