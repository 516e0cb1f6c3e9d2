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
        SightedFrame[] recorded =
        [
            .. sharp.Select(one => new SightedFrame(RecordedPose(input.Frame, input.Profile, one.Capture), band.Lens)),
        ];
        LocalGrid grid = BlockCells.GridOver(input.Blocks, settings.CellMetres);
        int[] blockOf = BlockCells.Of(input.Blocks, grid);
        judging.AddOfSurvey(
            LineGaps
                .Find(
                    [.. recorded.Select(frame => frame.Pose.CentreLocalMetres)],
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

        progress?.Report(new WorkProgress("placing captures", 0));
        Dictionary<string, FrameThumbnail?> thumbnails = input
            .Intake.Captures.Zip(judging.Thumbnails)
            .ToDictionary(one => one.First.Capture.Id, one => one.Second);
        PlacedFrames placed = CapturePlacing.Place(
            recorded,
            [.. sharp.Select(one => one.Capture)],
            [.. sharp.Select(one => settings.PlaceByPictures ? thumbnails[one.Capture.Id] : null)],
            input.Ground,
            new InstrumentErrors(),
            settings.Threads,
            cancel
        );
        SightedFrame[] frames = [.. placed.Frames];
        FieldCheckInput onGround = input with { Ground = placed.Ground };
        CoverageMap map = CoverageMap.Count(frames, placed.Ground, grid, settings.Threads, cancel: cancel);
        PlainOverlaps overlaps = PlainOverlaps.Of(onGround, sharp, frames, map, blockOf);
        AchievedFlight achieved = FlightAchieving.Measure(sharp, frames, placed.Ground, input.Plan);
        List<CoverageHole> holes = [];
        List<BlockCoverage> blocks = [];
        for (int block = 0; block < input.Blocks.Count; block++)
        {
            blocks.Add(BlockCells.Covered(input.Blocks[block].Name, block, blockOf, map, settings));
            byte[] mask = new byte[blockOf.Length];
            for (int cell = 0; cell < mask.Length; cell++)
            {
                mask[cell] = blockOf[cell] == block && map.Counts[cell] < settings.LeastViews ? (byte)1 : (byte)0;
            }

            foreach (
                (double area, double width, IReadOnlyList<LocalPlace> ring, _) in CoverageHoles.Find(
                    mask,
                    grid,
                    LeastTold(settings, placed.Told)
                )
            )
            {
                holes.Add(
                    new CoverageHole(input.Blocks[block].Name, area, width, ring, MinutesFor(area, width, overlaps))
                );
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
            achieved.ForwardOverlap ?? overlaps.Forward,
            achieved.SideOverlap ?? overlaps.Side,
            achieved,
            placed.Told,
            new CoverageGrid(grid, [.. blockOf.Select((block, cell) => block < 0 ? -1 : map.Counts[cell])])
            {
                Outlines = input.Blocks,
            }
        );
    }

    /// <summary>Width from which a hole could be as wide as asked; half of that at least.</summary>
    private static double LeastTold(FieldCheckSettings settings, PlacingCheck placing) =>
        Math.Max(
            settings.HoleWidthMetres / 2,
            settings.HoleWidthMetres - (settings.HoleWidthSigmas * placing.WidthSigmaMetres)
        );

    private static double MinutesFor(double area, double width, PlainOverlaps overlaps)
    {
        double length = area / Math.Max(1, width);
        double lines = Math.Ceiling(width / Math.Max(5, overlaps.LineSpacingMetres)) + 1;
        double line = (length + (2 * RunInMetres)) / Math.Max(2, overlaps.SpeedMetresPerSecond);
        return ((lines * (line + TurnSeconds)) + TransitSeconds) / 60;
    }

    /// <summary>Of the reference band's lens: the receiver's place less the antenna's lever arm.</summary>
    internal static CameraPose RecordedPose(LocalFrame frame, CameraProfile profile, Capture capture)
    {
        Matrix3D turn = capture.Attitude!.Value.EnuToCamera();
        Vector3D antenna = PlaceOf(frame, capture.Position!);
        return new CameraPose(antenna - (turn.Transposed() * profile.AntennaFromLensMetres), turn);
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
        PlacingCheck placing,
        CoverageGrid map
    )
    {
        static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
        List<string> reasons =
        [
            .. holes.Select(hole =>
                Text(
                    $"{hole.Block}: {hole.AreaSquareMetres:0} m² are seen by fewer than {settings.LeastViews} sharp captures, {hole.WidthMetres:0} m wide (± {placing.WidthSigmaMetres:0.#} m)."
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
            Placing = placing,
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
}
