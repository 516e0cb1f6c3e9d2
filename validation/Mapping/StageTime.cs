using System.Diagnostics;
using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Mapping;
using Hillrow.Mapping.Checks;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Validation.Mapping;

/// <summary>How long the stage takes on a survey of 40 full-size captures in five bands; frames come from memory, so it is Mapping's own time.</summary>
internal static class StageTime
{
    private const int FrameRows = 1152;
    private const int FrameColumns = 1536;
    private const double Focal = 1650;
    private const double HeightMetres = 100;
    private const int Lines = 4;
    private const int CapturesALine = 10;

    public static string Measure(string folder)
    {
        GeodeticPosition origin = GeodeticPosition.FromDegrees(-14.3, -42.6, 900);
        GeographicPoint place = new(origin.Latitude, origin.Longitude);
        ReferenceSystem system = ReferenceSystem.UtmAt(place);
        GridPoint middle = system.ToGrid(place);
        GridGeometry grid = GridAround(system, middle, 110, HeightMetres / Focal);
        GridGeometry surfaceGrid = GridAround(system, middle, 120, 0.12);
        Raster<float> surface = new(
            RasterLabel.OfOneBand(surfaceGrid, "height", "metre") with
            {
                Heights = VerticalReference.Ellipsoid,
            }
        );
        for (int row = 0; row < surface.Rows; row++)
        {
            for (int column = 0; column < surface.Columns; column++)
            {
                GridPoint point = surfaceGrid.CentreOf(row, column);
                surface[0, row, column] = (float)(
                    900
                    + CanopyScene.HeightAt(
                        point.EastingMetres - middle.EastingMetres,
                        0.2 * (point.NorthingMetres - middle.NorthingMetres)
                    )
                );
            }
        }

        TemplateFrames frames = new();
        MappingInput input = new(Geometry(new LocalFrame(origin), frames), frames, surface, grid, MapFiles.In(folder))
        {
            TowardsSunLocal =
            [
                .. Enumerable.Repeat(
                    LookAngles.TowardsSun(Angle.FromDegrees(35), Angle.FromDegrees(60)),
                    Lines * CapturesALine
                ),
            ],
        };
        using Process self = Process.GetCurrentProcess();
        TimeSpan before = self.TotalProcessorTime;
        Stopwatch clock = Stopwatch.StartNew();
        MappingResult result = MappingStage.Run(input);
        double seconds = clock.Elapsed.TotalSeconds;
        self.Refresh();
        return FormattableString.Invariant(
            $"stage: {Lines * CapturesALine} captures × 5 bands of {FrameRows} × {FrameColumns}, {grid.Rows} × {grid.Columns} cells ({result.CellsMapped / 1e6:F1} M mapped, {result.CapturesUsed} captures used): {seconds:F1} s, {(self.TotalProcessorTime - before).TotalSeconds:F1} s of processor time, {self.PeakWorkingSet64 / 1048576.0:F0} MiB peak of the process"
        );
    }

    private static GridGeometry GridAround(ReferenceSystem system, GridPoint middle, double half, double cell)
    {
        int side = (int)(2 * half / cell);
        return new GridGeometry(
            system,
            new GridPoint(middle.EastingMetres - half, middle.NorthingMetres + half),
            cell,
            side,
            side
        );
    }

    private static SurveyGeometry Geometry(LocalFrame frame, TemplateFrames frames)
    {
        BandGeometry[] bands =
        [
            .. frames.Bands.Select(
                (band, at) =>
                    new BandGeometry(
                        band,
                        new BrownConradyLens(
                            FrameRows,
                            FrameColumns,
                            new BrownConradyValues(
                                Focal,
                                Focal,
                                new PixelPoint(768 + at, 576 - at),
                                -0.09,
                                0.12,
                                0.0003,
                                -0.0004
                            )
                        ),
                        CameraMount.FromRotationVector(
                            new Vector3D(0.002 * at, -0.003 * at, 0),
                            new Vector3D(0.02 * at, 0, 0)
                        )
                    )
            ),
        ];
        List<PlacedCapture> captures = [];
        for (int line = 0; line < Lines; line++)
        {
            for (int step = 0; step < CapturesALine; step++)
            {
                Vector3D centre = new((line - 1.5) * 24, (step - 4.5) * 16, HeightMetres);
                CameraPose pose = CameraPose.FromAttitude(centre, Attitude.FromDegrees(line % 2 == 0 ? 0 : 180, 2, -1));
                captures.Add(new PlacedCapture($"c{captures.Count:D3}", pose, 0.01, 0.0001, Placed: true));
            }
        }

        return new SurveyGeometry(frame, bands, captures);
    }

    private sealed class TemplateFrames : IReflectanceFrames
    {
        private readonly float[] template =
        [
            .. Enumerable.Range(0, FrameRows * FrameColumns).Select(at => 0.2f + (0.1f * MathF.Sin(at * 0.37f))),
        ];

        public IReadOnlyList<string> Bands { get; } = ["blue", "green", "red", "rededge", "nir"];

        public bool Has(string captureId, string band) => true;

        public void Load(string captureId, string band, Span<float> reflectance, Span<float> sigma)
        {
            template.CopyTo(reflectance);
            sigma.Fill(0.01f);
        }
    }
}
