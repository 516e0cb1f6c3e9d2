using System.Globalization;
using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Intake;

/// <summary>Says, before anyone leaves the hill, whether the map will be whole.</summary>
/// <remarks>Reads every pixel once. The result depends neither on threads nor on the order of files.</remarks>
public static class FieldCheck
{
    private const double MostCells = 160_000;
    private const double TurnSeconds = 12;
    private const double TransitSeconds = 90;
    private const double RunInMetres = 60;

    /// <exception cref="InputProblemException">There is no block, or no capture that maps the ground.</exception>
    public static FieldCheckResult Run(
        FieldCheckInput input,
        FieldCheckSettings settings,
        IProgress<WorkProgress>? progress = null,
        CancellationToken cancel = default
    )
    {
        ArgumentNullException.ThrowIfNull(input);
        ArgumentNullException.ThrowIfNull(settings);
        if (input.Blocks.Count == 0)
        {
            throw new InputProblemException(
                "field check",
                "there is no block to be covered.",
                "Bring the boundaries with `hillrow block import`."
            );
        }

        FrameJudging judging = new(input, settings);
        judging.Run(progress, cancel);
        IReadOnlyList<CaptureExclusion> exclusions = CaptureExclusions.Of(
            judging,
            input.Intake,
            input.Profile,
            settings,
            input.Decisions
        );
        IntakeCapture[] sharp =
        [
            .. CaptureExclusions
                .Apply(input.Intake, exclusions)
                .Captures.Where(one =>
                    one.Role == CaptureRole.Survey && one.Capture is { Position: not null, Attitude: not null }
                ),
        ];
        CameraBand band = input.Profile.ReferenceBand;
        SightedFrame[] frames =
        [
            .. sharp.Select(one => new SightedFrame(
                CameraPose.FromAttitude(PlaceOf(input.Frame, one.Capture.Position!), one.Capture.Attitude!.Value),
                band.Lens
            )),
        ];
        LocalGrid grid = GridOf(input.Blocks, settings.CellMetres);
        int[] blockOf = BlockCells.Of(input.Blocks, grid);
        judging.AddOfSurvey(
            LineGaps
                .Find(
                    [.. frames.Select(frame => frame.Pose.CentreLocalMetres)],
                    [.. sharp.Select(one => one.Capture.Attitude!.Value.Yaw.Degrees)],
                    grid,
                    blockOf
                )
                .Select(line => (FrameFault.LineMissing, line))
        );
        if (
            BandSpectra.SwapTold(input, judging.Looks, band => LightJudging.PanelLevel(input, judging, band)) is
            { } swap
        )
        {
            judging.AddOfSurvey([(FrameFault.BandsSwapped, swap)]);
        }

        CoverageMap map = CoverageMap.Count(frames, input.Ground, grid, settings.Threads, cancel: cancel);
        (double? forward, double? side, double speed, double reach) = Overlaps(input, sharp, frames, map, blockOf);
        AchievedFlight achieved = FlightAchieving.Measure(sharp, frames, input.Ground, input.Plan);
        forward = achieved.ForwardOverlap ?? forward;
        side = achieved.SideOverlap ?? side;
        List<CoverageHole> holes = [];
        List<BlockCoverage> blocks = [];
        for (int block = 0; block < input.Blocks.Count; block++)
        {
            blocks.Add(CoverageOf(input.Blocks[block].Name, block, blockOf, map, settings));
            byte[] mask = new byte[blockOf.Length];
            for (int cell = 0; cell < mask.Length; cell++)
            {
                mask[cell] = blockOf[cell] == block && map.Counts[cell] < settings.LeastViews ? (byte)1 : (byte)0;
            }

            foreach (
                (double area, double width, IReadOnlyList<LocalPlace> ring, _) in CoverageHoles.Find(
                    mask,
                    grid,
                    settings.HoleWidthMetres
                )
            )
            {
                double length = area / Math.Max(1, width);
                double lines = Math.Ceiling(width / Math.Max(5, reach)) + 1;
                double seconds =
                    (lines * ((length + (2 * RunInMetres)) / Math.Max(2, speed) + TurnSeconds)) + TransitSeconds;
                holes.Add(new CoverageHole(input.Blocks[block].Name, area, width, ring, seconds / 60));
            }
        }

        PanelCheck panel = LightJudging.Panel(input, judging, settings);
        LightCheck light = LightJudging.Irradiance(input, settings);
        return Verdict(
            input,
            settings,
            judging,
            sharp.Length,
            exclusions,
            blocks,
            holes,
            panel,
            light,
            forward,
            side,
            achieved,
            new CoverageGrid(grid, [.. blockOf.Select((block, cell) => block < 0 ? -1 : map.Counts[cell])])
            {
                Outlines = input.Blocks,
            }
        );
    }

    internal static Vector3D PlaceOf(LocalFrame frame, CapturePosition position)
    {
        GeographicPoint place = new(position.Latitude, position.Longitude.WrappedSigned());
        double height = new Height(position.HeightMetres, position.HeightReference).EllipsoidalMetres(
            place,
            GeoidModel.Egm96
        );
        return frame.ToLocal(place.AtHeightAboveEllipsoid(height));
    }

    private static FieldCheckResult Verdict(
        FieldCheckInput input,
        FieldCheckSettings settings,
        FrameJudging judging,
        int sharp,
        IReadOnlyList<CaptureExclusion> exclusions,
        List<BlockCoverage> blocks,
        List<CoverageHole> holes,
        PanelCheck panel,
        LightCheck light,
        double? forward,
        double? side,
        AchievedFlight achieved,
        CoverageGrid map
    )
    {
        static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
        List<string> reasons =
        [
            .. holes.Select(hole =>
                Text(
                    $"{hole.Block}: {hole.AreaSquareMetres:0} m² are seen by fewer than {settings.LeastViews} sharp captures, {hole.WidthMetres:0} m wide."
                )
            ),
        ];
        bool irradiance = light.Spread is not null;
        bool noLight = panel.Before + panel.After == 0 && !irradiance;
        if (noLight)
        {
            reasons.Add(
                "Neither a usable panel picture nor an irradiance series: reflectance cannot be had. Take the panel now."
            );
        }

        List<string> cautions = [];
        foreach (
            IGrouping<FrameFault, FrameFinding> kind in judging
                .Findings.GroupBy(finding => finding.Fault)
                .OrderBy(group => group.Key)
        )
        {
            if (kind.Key is FrameFault.Clock or FrameFault.BandsSwapped or FrameFault.LineMissing)
            {
                cautions.AddRange(kind.Select(finding => finding.Reason.TrimEnd('.')));
            }
            else
            {
                cautions.Add($"{Words(kind.Key)}: {kind.Sum(finding => finding.Count)}");
            }
        }

        if (panel.Told.Length > 0)
        {
            cautions.Add(panel.Told);
        }

        if (light.Told.Length > 0)
        {
            cautions.Add(light.Told);
        }

        cautions.AddRange(FlightAchieving.Shortfalls(achieved).Select(CheckTexts.English.Fill));
        return new FieldCheckResult
        {
            Go = reasons.Count == 0,
            Reasons = reasons,
            Cautions = cautions,
            ReflyMinutes = holes.Sum(hole => hole.Minutes) + (noLight ? 2 : 0),
            Captures = input.Intake.Captures.Count,
            SharpCaptures = sharp,
            ForwardOverlap = forward,
            SideOverlap = side,
            Achieved = achieved,
            Findings = [.. judging.Findings.Select(finding => finding with { Excluded = IsOut(finding, exclusions) })],
            Exclusions = exclusions,
            Blocks = blocks,
            Holes = holes,
            Panel = panel,
            Light = light,
            Map = map,
        };
    }

    public static string Words(FrameFault fault) => CheckTexts.English.Of(fault);

    /// <summary>A capture kept by hand counts, whatever was found of it.</summary>
    private static bool IsOut(FrameFinding finding, IReadOnlyList<CaptureExclusion> exclusions) =>
        exclusions.FirstOrDefault(one => one.Capture == finding.Capture) is { } known
            ? known.LeftOut
            : finding.Excluded;

    private static LocalGrid GridOf(IReadOnlyList<CheckBlock> blocks, double cell)
    {
        (double East, double North)[] corners =
        [
            .. blocks.SelectMany(block => block.RingsLocalMetres).SelectMany(ring => ring),
        ];
        double west = corners.Min(at => at.East);
        double east = corners.Max(at => at.East);
        double south = corners.Min(at => at.North);
        double north = corners.Max(at => at.North);
        double size = Math.Max(cell, Math.Sqrt((east - west) * (north - south) / MostCells));
        return new LocalGrid(
            west,
            north,
            size,
            (int)Math.Ceiling((north - south) / size) + 1,
            (int)Math.Ceiling((east - west) / size) + 1
        );
    }

    private static BlockCoverage CoverageOf(
        string name,
        int block,
        int[] blockOf,
        CoverageMap map,
        FieldCheckSettings settings
    )
    {
        int[] cells = [.. Enumerable.Range(0, blockOf.Length).Where(cell => blockOf[cell] == block)];
        int[] views = [.. cells.Select(cell => (int)map.Counts[cell]).Order()];
        float[] finest = [.. cells.Select(cell => map.FinestPixelMetres[cell]).Where(float.IsFinite)];
        float[] coarsest = [.. cells.Select(cell => map.CoarsestPixelMetres[cell]).Where(float.IsFinite)];
        return new BlockCoverage(
            name,
            cells.Length * map.Grid.CellMetres * map.Grid.CellMetres,
            views.Length == 0 ? 0 : views[0],
            views.Length == 0 ? 0 : views[views.Length / 2],
            views.Length == 0 ? 0 : views.Count(count => count >= settings.LeastViews) / (double)views.Length,
            finest.Length == 0 ? 0 : finest.Min(),
            coarsest.Length == 0 ? 0 : coarsest.Max()
        );
    }

    /// <summary>Forward overlap by move against the frame's length; side overlap by what the mean number of views leaves.</summary>
    private static (double? Forward, double? Side, double Speed, double LineSpacing) Overlaps(
        FieldCheckInput input,
        IntakeCapture[] sharp,
        SightedFrame[] frames,
        CoverageMap map,
        int[] blockOf
    )
    {
        List<double> moves = [];
        List<double> speeds = [];
        List<double> heights = [];
        for (int at = 0; at < frames.Length; at++)
        {
            Vector3D here = frames[at].Pose.CentreLocalMetres;
            double above = here.Z - input.Ground.HeightAt(here.X, here.Y);
            if (above > 1)
            {
                heights.Add(above);
            }

            if (
                at > 0
                && sharp[at].Capture is { TimeUtc: { } time }
                && sharp[at - 1].Capture.TimeUtc is { } last
                && (time - last).TotalSeconds is > 0.1 and < 8
            )
            {
                double move = (here - frames[at - 1].Pose.CentreLocalMetres).Length;
                moves.Add(move);
                speeds.Add(move / (time - last).TotalSeconds);
            }
        }

        if (moves.Count < 5 || heights.Count == 0)
        {
            return (null, null, 8, 20);
        }

        double Middle(List<double> values) => values.Order().ElementAt(values.Count / 2);
        Lens lens = input.Profile.ReferenceBand.Lens;
        double angle = frames[0].PixelAngleRadians;
        double length = Middle(heights) * angle * lens.Rows;
        double width = Middle(heights) * angle * lens.Columns;
        double forward = 1 - (Middle(moves) / length);
        double mean = Enumerable
            .Range(0, blockOf.Length)
            .Where(cell => blockOf[cell] >= 0)
            .Select(cell => (double)map.Counts[cell])
            .DefaultIfEmpty(0)
            .Average();
        double side = mean <= 0 || forward >= 1 ? 0 : 1 - (1 / (mean * (1 - forward)));
        return (
            Math.Max(0, forward),
            Math.Clamp(side, 0, 0.99),
            Middle(speeds),
            width * (1 - Math.Clamp(side, 0, 0.8))
        );
    }
}
