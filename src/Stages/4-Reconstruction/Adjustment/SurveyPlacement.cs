using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Reconstruction;

/// <summary>Finds where all captures stood: matching and adjustment in turns, from rough to sharp.</summary>
internal sealed class SurveyPlacement
{
    /// <summary>Search half-width across the predicted line when poses are good to some pixels.</summary>
    private const double GuidedAcrossPixels = 7;

    private const double TieSurfaceCellMetres = 5;

    /// <summary>Earlier surveys are looked for at least this far: they may have been tied more loosely than they say.</summary>
    private const double LeastEarlierReachMetres = 2;

    private const double MostEarlierReachMetres = 15;

    /// <summary>Boards are looked for at least this far from where they should be.</summary>
    private const double LeastTargetReachMetres = 2;

    private readonly ReconstructionInput input;
    private readonly ReconstructionSettings settings;
    private readonly SurveyPriors priors;
    private readonly HeightField terrain;
    private readonly CancellationToken cancel;
    private readonly ParallelOptions options;

    public SurveyPlacement(
        ReconstructionInput input,
        ReconstructionSettings settings,
        SurveyPriors priors,
        HeightField terrain,
        CancellationToken cancel
    )
    {
        this.input = input;
        this.settings = settings;
        this.priors = priors;
        this.terrain = terrain;
        this.cancel = cancel;
        options = new ParallelOptions { MaxDegreeOfParallelism = settings.Threads, CancellationToken = cancel };
        Adjustment = new SurveyAdjustment(priors, input.Profile, settings, cancel);
        Ground = terrain;
        Control = new ControlSurvey(input, priors);
        Trust = new PositionTrust(priors, input.Profile.AntennaFromLensMetres);
    }

    public SurveyAdjustment Adjustment { get; }

    public IReadOnlyList<CapturePair> Pairs { get; private set; } = [];

    /// <summary>Smooth surface through the tie points.</summary>
    public HeightField Ground { get; private set; }

    public int TieCount { get; private set; }

    public int VerifiedSights { get; private set; }

    /// <summary>The same by capture.</summary>
    public int[] VerifiedTies { get; private set; } = [];

    private PairTies[] lastTies = [];

    /// <summary>How firmly its own ties hold the ground in the middle of each capture, pixels (standard error).</summary>
    public double[] HoldPixels { get; private set; } = [];

    public ControlSurvey Control { get; }

    /// <summary>Which recorded positions were not believed.</summary>
    public PositionTrust Trust { get; }

    /// <summary>True when surveyed points fix the place, by itself or through an earlier survey.</summary>
    public bool OnControl { get; private set; }

    /// <summary>Tie to earlier surveys.</summary>
    public EarlierTie Tie { get; private set; } = EarlierTie.None;

    public double BeforePixels { get; private set; }

    public double AfterPixels { get; private set; }

    /// <summary>Features of every capture's reference frame.</summary>
    public CaptureFeatures[] FindFeatures(Action<int> done) => SurveyFeatures.Find(input, settings, options, done);

    /// <summary>Brings poses from metres and degrees, or from nothing, to some pixels.</summary>
    public void PlaceRoughly(CaptureFeatures[] features)
    {
        if (priors.IsUnaided)
        {
            _ = UnaidedStart.Place(Adjustment, features, priors, Control, settings, options);
            Ground = TieSurface.Of(terrain, Adjustment.Points, TieSurfaceCellMetres);
            return;
        }

        SightedFrame[] frames = Adjustment.Frames;
        double margin = 2 * settings.RotationSigmaDegrees * Math.PI / 180 / frames[0].PixelAngleRadians;
        IReadOnlyList<CapturePair> pairs = PairSelection.Choose(
            frames,
            terrain,
            settings.LeastOverlap,
            settings.PartnersPerCapture,
            margin / 2
        );
        PairTies[] ties = new PairTies[pairs.Count];
        Parallel.For(
            0,
            pairs.Count,
            options,
            index =>
            {
                CapturePair pair = pairs[index];
                ties[index] = new PairTies(
                    pair,
                    CoarsePairMatch.Match(
                        features[pair.First],
                        features[pair.Second],
                        frames[pair.First],
                        frames[pair.Second],
                        terrain,
                        (ulong)index
                    )
                );
            }
        );
        IReadOnlyList<Track> tracks = TrackBuilder.Build(ties, features);
        Adjustment.Triangulate(tracks, 400);
        _ = Adjustment.Solve(30, farOff: true, 30);
        Adjustment.Triangulate(tracks, 60);
        _ = Adjustment.Solve(8, farOff: true, 20);
        Adjustment.Triangulate(tracks, 12);
        _ = Adjustment.Solve(3, farOff: false, 20);
        _ = Adjustment.DropWorse(6);
        LostCaptures lost = new(Adjustment, features, options);
        lost.Find();
        Trust.Judge(Adjustment);
        if (lost.Found.Count > 0)
        {
            Adjustment.Triangulate(TrackBuilder.Build([.. ties, .. lost.Ties], features), 12);
            _ = Adjustment.Solve(3, farOff: false, 20);
            _ = Adjustment.DropWorse(6);
            Trust.Judge(Adjustment);
        }

        Ground = TieSurface.Of(terrain, Adjustment.Points, TieSurfaceCellMetres);
        Pairs = pairs;
    }

    /// <summary>Matches again along predicted lines and adjusts until only good sights are left.</summary>
    public void PlaceSharply(CaptureFeatures[] features)
    {
        MatchAlong(features);
        if (priors.IsUnaided)
        {
            // Poses and lens from a few strong features alone were too rough to predict lines well.
            Ground = TieSurface.Of(terrain, Adjustment.Points, TieSurfaceCellMetres);
            MatchAlong(features);
        }

        if (ContradictedCaptures.Mend(Adjustment, VerifiedTies, lastTies, features, options))
        {
            _ = Adjustment.Solve(1.5, farOff: false, 20);
            _ = Adjustment.DropWorse(Limit());
        }

        Adjustment.MeasureLens();
        FindTargets();
        if (Control.Holds)
        {
            Control.Apply(Adjustment);
            _ = Adjustment.Solve(1.5, farOff: false, 20);
            Adjustment.MeasureLens();
            Adjustment.Control = MarkSharpening.Of(input, Adjustment.PlacedFrames, Adjustment.Control, options);
        }

        TieToEarlier(features);
        Trust.Judge(Adjustment);
        _ = Adjustment.Solve(1.5, farOff: false, 30, withSigmas: true);
        AfterPixels = Rms(Adjustment.Misses());
        HoldPixels = CaptureHold.MiddlePixels(Adjustment.Frames, Adjustment.Points, priors.Captures, settings);
        Ground = TieSurface.Of(terrain, Adjustment.Points, TieSurfaceCellMetres);
    }

    private void MatchAlong(CaptureFeatures[] features)
    {
        cancel.ThrowIfCancellationRequested();
        SightedFrame[] frames = Adjustment.Frames;
        Pairs =
        [
            .. PairSelection
                .Choose(frames, Ground, settings.LeastOverlap, settings.PartnersPerCapture, 0)
                .Where(pair => Adjustment.Placed[pair.First] && Adjustment.Placed[pair.Second]),
        ];
        GuidedPairMatch guided = new(
            frames,
            features,
            Ground,
            settings.SearchBelowMetres,
            settings.SearchAboveMetres,
            GuidedAcrossPixels,
            settings.LargestSharpPixels,
            Adjustment.Placed,
            options
        );
        PairTies[] ties = new PairTies[Pairs.Count];
        Parallel.For(
            0,
            ties.Length,
            options,
            index => ties[index] = new PairTies(Pairs[index], guided.Match(Pairs[index]))
        );
        lastTies = ties;
        TieCount = ties.Sum(entry => entry.Ties.Count);
        IReadOnlyList<Track> tracks = TrackBuilder.Build(ties, features);
        Adjustment.Triangulate(tracks, GuidedAcrossPixels);
        VerifiedTies = Adjustment.TiesPerCapture();
        VerifiedSights = VerifiedTies.Sum();
        BeforePixels = Rms(Adjustment.Misses());
        cancel.ThrowIfCancellationRequested();
        _ = Adjustment.Solve(2, farOff: false, 20, looseReceiver: true);
        Adjustment.MeasureReceiver();
        _ = Adjustment.DropWorse(Limit());
        Adjustment.MeasureLens();
        cancel.ThrowIfCancellationRequested();
        _ = Adjustment.Solve(1.5, farOff: false, 20);
        _ = Adjustment.DropWorse(Limit());
    }

    private void FindTargets()
    {
        CapturePrior[] positioned = [.. priors.Captures.Where(prior => prior.HasPosition)];
        double plan = positioned.Length == 0 ? 0 : positioned.Max(prior => prior.HorizontalSigmaMetres);
        double up = positioned.Length == 0 ? 0 : positioned.Max(prior => prior.VerticalSigmaMetres);
        Control.FindTargets(
            Adjustment.PlacedFrames,
            Math.Clamp(4 * plan, LeastTargetReachMetres, MostEarlierReachMetres),
            Math.Clamp(4 * up, LeastTargetReachMetres, MostEarlierReachMetres),
            options
        );
    }

    /// <summary>Lets the spots of earlier surveys hold this one, where they are found again.</summary>
    private void TieToEarlier(CaptureFeatures[] features)
    {
        cancel.ThrowIfCancellationRequested();
        // Earlier surveys that lie metres off cannot hold one that lies on surveyed points, nor agree with those that do.
        bool onControl = Control.Holds || (input.Earlier.Count > 0 && input.Earlier[^1].OnControl);
        Landmarks[] earlier = [.. input.Earlier.Where(survey => survey.OnControl == onControl)];
        if (earlier.Length == 0)
        {
            OnControl = Control.Holds;
            return;
        }

        double sigma = priors.Captures.Max(prior => prior.HasPosition ? prior.HorizontalSigmaMetres : 0);
        Tie = SurveyTie.Apply(
            Adjustment,
            features,
            new EarlierTies(earlier, priors.Frame),
            Math.Clamp(5 * sigma, LeastEarlierReachMetres, MostEarlierReachMetres),
            () => _ = Adjustment.Solve(1.5, farOff: false, 20)
        );
        OnControl = Control.Holds || (onControl && Tie.Spots > 0);
    }

    public static double Rms(double[] misses) =>
        misses.Length == 0 ? 0 : Math.Sqrt(misses.Sum(miss => miss * miss) / misses.Length);

    /// <summary>Three robust standard errors of a sight: one in ninety normal errors in two dimensions is longer.</summary>
    private double Limit()
    {
        double[] misses = Adjustment.SharpMisses();
        if (misses.Length == 0)
        {
            return 1;
        }

        Array.Sort(misses);

        // The median length of a two-dimensional normal error is 1.1774 sigma.
        return Math.Max(1, 3 * misses[misses.Length / 2] / 1.1774);
    }
}
