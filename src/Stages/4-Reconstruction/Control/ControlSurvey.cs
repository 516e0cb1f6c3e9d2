using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Reconstruction;

/// <summary>Surveyed points of one survey: those that hold it, and those that judge it.</summary>
internal sealed class ControlSurvey
{
    /// <summary>Fewer control points than this do not fix place, turn and scale.</summary>
    public const int LeastPoints = 3;

    /// <summary>A mark farther than this from where the others say is no mark of the same point.</summary>
    private const double MarkTolerancePixels = 25;

    private readonly List<ControlSpot> control = [];
    private readonly List<ControlSpot> check = [];
    private readonly ReconstructionInput input;
    private readonly SurveyPriors priors;

    public ControlSurvey(ReconstructionInput input, SurveyPriors priors)
    {
        this.input = input;
        this.priors = priors;
        if (input.Control is { } given)
        {
            Take(given);
        }
    }

    /// <summary>Marks that no file told, of boards found in the pictures.</summary>
    public IReadOnlyList<ControlMark> FoundMarks { get; private set; } = [];

    /// <summary>Looks for the boards of points with fewer than two marks.</summary>
    /// <param name="frames">As placed so far, perhaps metres off as a whole; null where not placed.</param>
    /// <param name="planReach">Largest distance of the survey from its true place in plan, metres.</param>
    /// <param name="heightReach">The same in height.</param>
    /// <param name="options">Threads.</param>
    public void FindTargets(SightedFrame?[] frames, double planReach, double heightReach, ParallelOptions options)
    {
        if (input.Control is not { } given || PointsUnused == 0)
        {
            return;
        }

        HashSet<string> known = [.. control.Concat(check).Select(spot => spot.Id)];
        TargetSearch search = new(input, frames, planReach, heightReach, options);
        FoundMarks = search.Find([
            .. given
                .Points.Where(point => !known.Contains(point.Id))
                .Select(point => (point.Id, priors.Frame.ToLocal(point.Place))),
        ]);
        if (FoundMarks.Count > 0)
        {
            HashSet<string> found = [.. FoundMarks.Select(mark => mark.PointId)];
            Take(given with { Marks = [.. given.Marks.Where(mark => !found.Contains(mark.PointId)), .. FoundMarks] });
        }
    }

    private void Take(GroundControl given)
    {
        control.Clear();
        check.Clear();
        (MarksUnused, PointsUnused) = (0, 0);
        string band = input.Profile.ReferenceBandName;
        Dictionary<string, List<ControlSight>> sights = [];
        foreach (ControlMark mark in given.Marks)
        {
            int capture = CaptureOf(input.Captures, band, mark);
            if (capture < 0)
            {
                MarksUnused++;
                continue;
            }

            if (!sights.TryGetValue(mark.PointId, out List<ControlSight>? list))
            {
                sights[mark.PointId] = list = [];
            }

            list.Add(new ControlSight(capture, mark.Pixel, mark.SigmaPixels));
        }

        foreach (ControlPoint point in given.Points)
        {
            if (sights.TryGetValue(point.Id, out List<ControlSight>? list) && list.Count >= 2)
            {
                KnownPlace known = new(
                    priors.Frame.ToLocal(point.Place),
                    point.HorizontalSigmaMetres,
                    point.VerticalSigmaMetres
                );
                (point.IsCheckpoint ? check : control).Add(new ControlSpot(point.Id, known.Place, known, list));
            }
            else
            {
                PointsUnused++;
            }
        }
    }

    public int MarksUnused { get; private set; }

    /// <summary>Points with fewer than two marks in the reference band.</summary>
    public int PointsUnused { get; private set; }

    /// <summary>True when there is enough to fix the survey.</summary>
    public bool Holds => control.Count >= LeastPoints;

    /// <summary>Control points where the survey has them, and where they were surveyed.</summary>
    public IReadOnlyList<(Vector3D Ours, Vector3D Surveyed)> Met(SurveyAdjustment adjustment)
    {
        SightedFrame?[] frames = adjustment.PlacedFrames;
        List<(Vector3D, Vector3D)> pairs = [];
        foreach (ControlSpot spot in control)
        {
            // A loose mark is left to the adjustment: before it, poses are not good enough to judge it.
            if (TryMeet(spot, frames, 10 * MarkTolerancePixels, out Vector3D place, out _))
            {
                pairs.Add((place, spot.Known.Place));
            }
        }

        return pairs;
    }

    /// <summary>Brings the survey onto the control and lets it hold there.</summary>
    public void Apply(SurveyAdjustment adjustment)
    {
        if (control.Count == 0)
        {
            return;
        }

        List<(Vector3D, Vector3D)> pairs = [];
        List<ControlSpot> seen = [];
        foreach (ControlSpot spot in control)
        {
            if (
                TryMeet(
                    spot,
                    adjustment.PlacedFrames,
                    MarkTolerancePixels,
                    out Vector3D place,
                    out List<ControlSight> agreeing
                )
            )
            {
                pairs.Add((place, spot.Known.Place));
                seen.Add(spot with { Marks = agreeing });
            }
        }

        if (pairs.Count >= LeastPoints)
        {
            // Metres first: a mistyped point must not drag the others; then what careful surveying leaves.
            adjustment.Move(SimilarityMove.Fit(pairs, SimilarityMove.None, [3, 0.5, 0.1]));
        }

        adjustment.Control = seen;
    }

    /// <summary>How well the survey lies on its points.</summary>
    public ControlFigures Judge(SurveyAdjustment adjustment)
    {
        List<(Vector3D Off, KnownPlace Known)> held =
        [
            .. adjustment.Control.Select(spot => (spot.Place - spot.Known.Place, spot.Known)),
        ];
        List<(Vector3D Off, KnownPlace Known)> judged = [];
        foreach (ControlSpot spot in check)
        {
            if (TryMeet(spot, adjustment.PlacedFrames, MarkTolerancePixels, out Vector3D place, out _))
            {
                judged.Add((place - spot.Known.Place, spot.Known));
            }
        }

        return new ControlFigures
        {
            ControlPoints = held.Count,
            Checkpoints = judged.Count,
            PointsUnused = PointsUnused + control.Count + check.Count - held.Count - judged.Count,
            ControlAcrossShare = ControlFigures.AcrossShareOf([.. adjustment.Control.Select(spot => spot.Known.Place)]),
            ControlRmseHorizontalMetres = Rms(held, entry => Plan(entry.Off)),
            ControlRmseVerticalMetres = Rms(held, entry => entry.Off.Z * entry.Off.Z),
            CheckRmseHorizontalMetres = Rms(judged, entry => Plan(entry.Off)),
            CheckRmseVerticalMetres = Rms(judged, entry => entry.Off.Z * entry.Off.Z),
            CheckMeanErrorMetres = judged.Aggregate(Vector3D.Zero, (sum, entry) => sum + (entry.Off / judged.Count)),
            SurveyErrorHorizontalMetres = Rms(judged, entry => 2 * Square(entry.Known.HorizontalSigmaMetres)),
            SurveyErrorVerticalMetres = Rms(judged, entry => Square(entry.Known.VerticalSigmaMetres)),
        };
    }

    private static double Plan(Vector3D off) => (off.X * off.X) + (off.Y * off.Y);

    private static double Square(double value) => value * value;

    private static double Rms<T>(List<T> entries, Func<T, double> square) =>
        entries.Count == 0 ? double.NaN : Math.Sqrt(entries.Average(square));

    private static bool TryMeet(
        ControlSpot spot,
        SightedFrame?[] frames,
        double tolerancePixels,
        out Vector3D place,
        out List<ControlSight> agreeing
    )
    {
        Sighting[] sights = [.. spot.Marks.Select((mark, index) => new Sighting(mark.Capture, index, mark.Pixel, 1))];
        bool met = RayMeeting.TryFind(sights, frames, tolerancePixels, out place, out List<Sighting> kept);
        agreeing = met ? [.. kept.Select(sight => spot.Marks[sight.Feature])] : [];
        return met;
    }

    /// <summary>The capture whose reference frame was marked, or −1.</summary>
    private static int CaptureOf(IReadOnlyList<Capture> captures, string band, ControlMark mark)
    {
        for (int index = 0; index < captures.Count; index++)
        {
            if (
                captures[index].FrameOf(band) is { } frame
                && frame.Page == mark.Page
                && (
                    string.Equals(frame.File, mark.File, StringComparison.OrdinalIgnoreCase)
                    || frame.File.EndsWith("/" + mark.File, StringComparison.OrdinalIgnoreCase)
                )
            )
            {
                return index;
            }
        }

        return -1;
    }
}
