using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Reconstruction;

/// <summary>Poses, lenses and surfaces of one survey from its captures.</summary>
public static class ReconstructionStage
{
    private const double TerrainMarginMetres = 250;
    private const double TerrainPostsMetres = 10;

    /// <summary>Runs the stage. The same input gives the same result for any number of threads.</summary>
    /// <param name="input">Captures, camera, terrain and where frames are read.</param>
    /// <param name="settings">How.</param>
    /// <param name="progress">Told as captures are done; null for silence.</param>
    /// <param name="cancel">Stops within a second or two.</param>
    /// <exception cref="InputProblemException">Settings out of range, no positions, frames that cannot be read.</exception>
    /// <exception cref="OperationCanceledException">Cancelled.</exception>
    public static ReconstructionResult Run(
        ReconstructionInput input,
        ReconstructionSettings settings,
        IProgress<WorkProgress>? progress = null,
        CancellationToken cancel = default
    )
    {
        ArgumentNullException.ThrowIfNull(input);
        ArgumentNullException.ThrowIfNull(settings);
        settings.Checked();
        StageClock clock = new(progress, input.Captures.Count);
        SurveyPriors priors = SurveyPriors.From(input.Captures, input.Profile, settings, input.Control);
        HeightField terrain = TerrainAround(input, priors, settings);
        SurveyPlacement placement = new(input, settings, priors, terrain, cancel);
        CaptureFeatures[] features = clock.Time("finding features", 0, 0.2, done => placement.FindFeatures(done));
        GarbageLimit.GiveBack();
        VisionLibrary.GiveBackMemory();
        clock.Time("matching captures", 0.2, 0.3, _ => placement.PlaceRoughly(features));
        clock.Time("placing captures", 0.3, 0.45, _ => placement.PlaceSharply(features));
        SurveyAdjustment adjustment = placement.Adjustment;
        int[] ties = adjustment.TiesPerCapture();
        int[] part = SurveyParts.Of(adjustment.Points, ties.Length);
        bool[] placed = Placing.Decide(adjustment, placement.HoldPixels, ties, part, settings);
        List<BandGeometry> bands =
        [
            new BandGeometry(input.Profile.ReferenceBandName, adjustment.Lens, CameraMount.Reference),
        ];
        Dictionary<string, RigFigure> rig = [];
        clock.Time(
            "aligning bands",
            0.45,
            0.5,
            _ =>
            {
                RigSolution solution = new(input, adjustment, placed, settings, cancel);
                foreach (CameraBand band in input.Profile.Bands)
                {
                    if (band.Kind == BandKind.Thermal)
                    {
                        // Looks like no other band: Mapping lays it on the map.
                        bands.Add(new BandGeometry(band.Name, band.Lens, band.Mount));
                    }
                    else if (band.Name != input.Profile.ReferenceBandName)
                    {
                        (BandGeometry solved, rig[band.Name]) = solution.Solve(band);
                        bands.Add(solved);
                    }
                }
            }
        );
        SurveyGeometry geometry = new(
            priors.Frame,
            bands,
            [
                .. input.Captures.Select(
                    (capture, index) => Placed(index, capture, placement, priors, placed, features, ties, part)
                ),
            ]
        );
        ReconstructionFigures figures = PlacementFigures(input, placement, priors, placed) with { Rig = rig };
        if (placed.Count(entry => entry) < 2)
        {
            return new ReconstructionResult(
                geometry,
                null,
                null,
                null,
                null,
                null,
                figures,
                StageOutcome.Refused(
                    $"only {placed.Count(entry => entry)} of {placed.Length} captures could be tied to each other; fly with more overlap, or check the captures' positions and the camera profile{(priors.IsUnaided ? ", and that at least three control points have two good marks each" : "")}."
                )
            );
        }

        double sample = GroundSample(adjustment, placement.Ground, placed);
        StageOutcome outcome = Outcome(input, priors, placed, rig, placement);
        Landmarks landmarks = LandmarkChoice.Of(priors, adjustment, features, placement.OnControl);

        // A third of a megabyte a capture, not needed for heights; nor is what pictures and bands left behind.
        features = [];
        GarbageLimit.GiveBack();
        if (!settings.MeasureSurface)
        {
            return new ReconstructionResult(
                geometry,
                null,
                null,
                null,
                null,
                null,
                figures with
                {
                    GroundSampleMetres = sample,
                    Seconds = clock.Steps,
                },
                outcome
            )
            {
                Landmarks = landmarks,
                FoundMarks = placement.Control.FoundMarks,
            };
        }

        SightedFrame[] placedFrames = [.. adjustment.Frames.Where((_, index) => placed[index])];
        WellSeen wellSeen = WellSeen.Of(placedFrames, sample);
        bool isAslant = false;
        if (wellSeen.Tell(placedFrames, placement.Ground) is { } aslant)
        {
            // What a person asked to be mapped is kept whatever its edge looks like.
            isAslant = input.MappedArea is null;
            outcome = outcome.With(new StageOutcome(StageVerdict.Done, [aslant]));
        }

        double matched = sample * LevelCamera.ReductionOf(adjustment.Lens.Rows, adjustment.Lens.Columns);
        GridGeometry grid = SurfaceGrid.Of(
            input,
            priors.Frame,
            placedFrames,
            placement.Ground,
            wellSeen,
            settings.SurfaceCellMetres ?? Math.Max(0.01, Math.Round(settings.SurfaceCellPixels * matched, 2))
        );
        (float[] heights, float[] sigmas, byte[] samples) = clock.Time(
            "measuring heights",
            0.5,
            0.95,
            done =>
                SurveySurface.Measure(
                    input,
                    settings,
                    priors.Frame,
                    adjustment.Poses,
                    placed,
                    adjustment.Lens,
                    placement.Pairs,
                    placement.Ground,
                    grid,
                    wellSeen,
                    done,
                    cancel
                )
        );
        bool[] within = [];
        if (isAslant && SurfaceExtent.Of(samples, grid) is var (inside, window))
        {
            heights = SurfaceExtent.Cut(heights, inside, grid.Columns, window, float.NaN);
            sigmas = SurfaceExtent.Cut(sigmas, inside, grid.Columns, window, float.NaN);
            samples = SurfaceExtent.Cut(samples, inside, grid.Columns, window, (byte)0);
            within = SurfaceExtent.Cut(inside, inside, grid.Columns, window, false);
            grid = SurfaceExtent.Cut(grid, window);
        }

        SurveySurface.Fill(heights, sigmas, samples, grid, within, cancel);
        (float[] ground, byte[] seen, float[] groundSigma) = clock.Time(
            "finding the ground",
            0.95,
            1,
            _ =>
                GroundSurface.BelowWithSigma(
                    heights,
                    samples,
                    grid.Rows,
                    grid.Columns,
                    grid.CellSizeMetres,
                    settings.Threads,
                    cancel
                )
        );
        float[] canopySigma = [.. sigmas.Zip(groundSigma, (top, below) => MathF.Sqrt((top * top) + (below * below)))];
        float[] canopy = [.. heights.Zip(ground, (top, below) => Math.Max(0, top - below))];
        figures = figures with
        {
            GroundSampleMetres = sample,
            SurfaceMeasuredShare = samples.Count(count => count > 0) / (double)samples.Length,
            Seconds = clock.Steps,
        };
        return new ReconstructionResult(
            geometry,
            Heights(grid, "surface", heights),
            Heights(grid, "ground", ground),
            new Raster<float>(RasterLabel.OfOneBand(grid, "canopy height", "m"), [canopy]),
            new Raster<byte>(RasterLabel.OfOneBand(grid, "confirmed heights"), [samples]),
            new Raster<byte>(RasterLabel.OfOneBand(grid, "ground seen"), [seen]),
            figures,
            outcome
        )
        {
            CanopySigma = new Raster<float>(
                RasterLabel.OfOneBand(grid, "standard error of canopy height", "m"),
                [canopySigma]
            ),
            Landmarks = landmarks,
            FoundMarks = placement.Control.FoundMarks,
        };
    }

    private static Raster<float> Heights(GridGeometry grid, string name, float[] heights) =>
        new(RasterLabel.OfOneBand(grid, name, "m") with { Heights = VerticalReference.Ellipsoid }, [heights]);

    private static HeightField TerrainAround(
        ReconstructionInput input,
        SurveyPriors priors,
        ReconstructionSettings settings
    )
    {
        IReadOnlyList<Vector3D> places = priors.Around;

        // One wild position must not ask for a continent of terrain.
        double west = Bound(places.Select(place => place.X), low: true) - TerrainMarginMetres;
        double east = Bound(places.Select(place => place.X), low: false) + TerrainMarginMetres;
        double south = Bound(places.Select(place => place.Y), low: true) - TerrainMarginMetres;
        double north = Bound(places.Select(place => place.Y), low: false) + TerrainMarginMetres;
        int rows = (int)Math.Ceiling((north - south) / TerrainPostsMetres);
        int columns = (int)Math.Ceiling((east - west) / TerrainPostsMetres);
        float[] heights = new float[(rows + 1) * (columns + 1)];
        input.Terrain.ToLocalHeights(
            priors.Frame,
            west,
            north,
            TerrainPostsMetres,
            rows + 1,
            columns + 1,
            heights,
            threads: settings.Threads
        );
        GapFill.Apply(heights, rows + 1, columns + 1);
        return float.IsNaN(heights[0])
            ? throw new InputProblemException(
                "terrain",
                "no tile covers the captures.",
                "Add height tiles that cover the estate."
            )
            : new HeightField(west, north, TerrainPostsMetres, rows + 1, columns + 1, heights);
    }

    /// <summary>Smallest or largest value within 5 km of the median.</summary>
    private static double Bound(IEnumerable<double> values, bool low)
    {
        double[] sorted = [.. values.Order()];
        double middle = sorted[sorted.Length / 2];
        return low ? sorted.First(value => value > middle - 5000) : sorted.Last(value => value < middle + 5000);
    }

    private static PlacedCapture Placed(
        int index,
        Capture capture,
        SurveyPlacement placement,
        SurveyPriors priors,
        bool[] placed,
        CaptureFeatures[] features,
        int[] ties,
        int[] part
    ) =>
        placed[index]
            ? new PlacedCapture(
                capture.Id,
                placement.Adjustment.Poses[index],
                placement.Adjustment.Sigmas[index].Metres,
                placement.Adjustment.Sigmas[index].Radians,
                true
            )
            : new PlacedCapture(
                capture.Id,
                priors.Captures[index].Pose,
                priors.Captures[index].HorizontalSigmaMetres,
                priors.Captures[index].RotationSigmaRadians,
                false,
                Placing.WhyNot(capture, index, priors, placement, features[index].Count, ties[index], part[index])
            );

    private static ReconstructionFigures PlacementFigures(
        ReconstructionInput input,
        SurveyPlacement placement,
        SurveyPriors priors,
        bool[] placed
    )
    {
        SurveyAdjustment adjustment = placement.Adjustment;
        Vector3D lever = input.Profile.AntennaFromLensMetres;
        List<Vector3D> off = [];
        for (int index = 0; index < placed.Length; index++)
        {
            CapturePrior prior = priors.Captures[index];
            if (placed[index] && adjustment.PositionCounts[index])
            {
                CameraPose pose = adjustment.Poses[index];
                Vector3D antenna = pose.CentreLocalMetres + (pose.LocalToCamera.Transposed() * lever);
                off.Add(antenna - prior.AntennaLocalMetres + adjustment.ReceiverError(index));
            }
        }

        int sights = adjustment.Points.Sum(point => point.Sightings.Count);
        double Rms(Func<Vector3D, double> axis) =>
            off.Count == 0 ? 0 : Math.Sqrt(off.Sum(entry => axis(entry) * axis(entry)) / off.Count);
        return new ReconstructionFigures
        {
            Captures = placed.Length,
            CapturesPlaced = placed.Count(entry => entry),
            Pairs = placement.Pairs.Count,
            Ties = placement.TieCount,
            TiePoints = adjustment.Points.Count,
            Sights = sights,
            SightsKeptShare = placement.VerifiedSights == 0 ? 0 : (double)sights / placement.VerifiedSights,
            ReprojectionBeforePixels = placement.BeforePixels,
            ReprojectionAfterPixels = placement.AfterPixels,
            PositionResidualMetres = new Vector3D(Rms(entry => entry.X), Rms(entry => entry.Y), Rms(entry => entry.Z)),
            Earlier = placement.Tie,
            Control = placement.Control.Judge(adjustment),
            PositionSigmaMetres = MedianSigma(adjustment, placed),
            PointSigmaHorizontalMetres = adjustment.PointSigma.Plan,
            PointSigmaVerticalMetres = adjustment.PointSigma.Up,
            WrongPositions =
            [
                .. placement.Trust.Wrong.Select(entry => new WrongPosition(input.Captures[entry.Key].Id, entry.Value)),
            ],
            Parts = Placing.Parts(input.Captures, placed, SurveyParts.Of(adjustment.Points, placed.Length)),
            FocalRatio = adjustment.Lens.Parameters[0] / input.Profile.ReferenceBand.Lens.Parameters[0],
        };
    }

    private static double MedianSigma(SurveyAdjustment adjustment, bool[] placed)
    {
        double[] sigmas =
        [
            .. adjustment
                .Sigmas.Where((sigma, index) => placed[index] && double.IsFinite(sigma.Metres))
                .Select(sigma => sigma.Metres)
                .Order(),
        ];
        return sigmas.Length == 0 ? double.NaN : sigmas[sigmas.Length / 2];
    }

    private static double GroundSample(SurveyAdjustment adjustment, HeightField ground, bool[] placed)
    {
        double[] samples =
        [
            .. adjustment
                .Frames.Where((_, index) => placed[index])
                .Select(frame =>
                {
                    Vector3D centre = frame.Pose.CentreLocalMetres;
                    double below = ground.HeightAt(centre.X, centre.Y);
                    return (centre.Z - below) * frame.PixelAngleRadians;
                })
                .Where(double.IsFinite)
                .Order(),
        ];
        return samples.Length == 0 ? 0.05 : samples[samples.Length / 2];
    }

    private static StageOutcome Outcome(
        ReconstructionInput input,
        SurveyPriors priors,
        bool[] placed,
        Dictionary<string, RigFigure> rig,
        SurveyPlacement placement
    )
    {
        StageOutcome outcome = StageOutcome.Done;
        outcome = Placing.Tell(outcome, input.Captures, priors, placement, placed);
        string[] loose = [.. rig.Where(entry => entry.Value.Ties == 0).Select(entry => entry.Key)];
        if (loose.Length > 0)
        {
            outcome = outcome.With(
                StageOutcome.Degraded(
                    $"the bands {string.Join(", ", loose)} could not be tied to the reference band; their nominal lens and mount are used, so colours may be some pixels apart."
                )
            );
        }

        if (input.Earlier.Count > 0 && placement.Tie.Spots == 0)
        {
            bool apart = placement.Control.Holds && !input.Earlier.Any(survey => survey.OnControl);
            outcome = outcome.With(
                apart
                    ? new StageOutcome(
                        StageVerdict.Done,
                        [
                            "this survey lies on ground control and the earlier ones do not, so it was not laid onto them; their maps may lie metres apart.",
                        ]
                    )
                    : StageOutcome.Degraded(
                        "too few spots of earlier surveys were found again, so this survey was not laid onto them and their maps may lie apart."
                    )
            );
        }

        if (input.Control is { } given && !placement.Control.Holds)
        {
            outcome = outcome.With(
                StageOutcome.Degraded(
                    $"only some of the {given.Points.Count} surveyed points have two or more marks in the {input.Profile.ReferenceBandName} band or were found in it as boards of two light and two dark fields; at least {ControlSurvey.LeastPoints} control points are needed, so none was used: mark them in marks.csv."
                )
            );
        }

        outcome = outcome.With(
            new StageOutcome(StageVerdict.Done, [placement.Control.Judge(placement.Adjustment).Statement])
        );
        return priors.Notes.Aggregate(outcome, (sum, note) => sum.With(new StageOutcome(StageVerdict.Done, [note])));
    }
}
