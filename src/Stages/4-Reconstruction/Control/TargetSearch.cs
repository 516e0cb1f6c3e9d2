using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Reconstruction;

/// <summary>Looks for the boards of surveyed points that have no marks, near where the survey predicts them.</summary>
/// <remarks>
/// Poses may be metres off as a whole. So boards seen alike by several captures are met in space, and the shift on which
/// most surveyed points agree decides which board is which; a single lucky look-alike decides nothing.
/// </remarks>
internal sealed class TargetSearch
{
    private const int CornersPerFrame = 60;
    private const int LeastViews = 3;
    private const double MeetPixels = 3;
    private const double SamePlaceMetres = 0.3;
    private const int PlacesPerPoint = 8;

    /// <summary>The captures nearest to a point are enough to meet its board.</summary>
    private const int MostViews = 12;

    /// <summary>A height off by a metre moves what is seen at the rim of a frame by this much.</summary>
    private const double SideShare = 0.45;

    /// <summary>Scale and turn of a survey without control move its ends by this against its middle.</summary>
    private const double AgreementMetres = 1.5;

    /// <summary>What is left when shift, turn and scale are taken out.</summary>
    private const double FinalMetres = 0.4;

    /// <summary>Of a board's middle.</summary>
    private const double MarkSigmaPixels = 0.35;

    private readonly ReconstructionInput input;
    private readonly SightedFrame?[] frames;
    private readonly double planReach;
    private readonly double heightReach;
    private readonly ParallelOptions options;

    public TargetSearch(
        ReconstructionInput input,
        SightedFrame?[] frames,
        double planReachMetres,
        double heightReachMetres,
        ParallelOptions options
    )
    {
        this.input = input;
        this.frames = frames;
        planReach = planReachMetres;
        heightReach = heightReachMetres;
        this.options = options;
    }

    /// <summary>Marks of the points that were found.</summary>
    /// <param name="points">Id and surveyed place, local metres.</param>
    public IReadOnlyList<ControlMark> Find(IReadOnlyList<(string Id, Vector3D Place)> points)
    {
        int[] captures =
        [
            .. Enumerable.Range(0, frames.Length).Where(index => points.Any(point => MaySee(index, point.Place))),
        ];
        PixelPoint[][] corners = new PixelPoint[frames.Length][];
        Array.Fill(corners, []);
        string band = input.Profile.ReferenceBandName;
        BandSensor sensor = input.Profile.ReferenceBand.Sensor;
        Parallel.ForEach(
            captures,
            options,
            () => new ushort[sensor.Rows * sensor.Columns],
            (index, _, counts) =>
            {
                input.Frames(input.Captures[index], input.Captures[index].FrameOf(band)!, counts);
                corners[index] = [.. TargetCorners.Find(counts, sensor.Rows, sensor.Columns, CornersPerFrame)];
                return counts;
            },
            _ => { }
        );
        List<Vector3D>[] places = [.. points.Select(point => Meetings(point.Place, captures, corners))];
        return Agreed(points, places) is { } chosen ? Marks(points, chosen, captures, corners) : [];
    }

    private bool MaySee(int capture, Vector3D place)
    {
        if (
            frames[capture] is not { } frame
            || input.Captures[capture].FrameOf(input.Profile.ReferenceBandName) is null
            || !frame.Lens.TryProject(frame.Pose.ToCamera(place), out PixelPoint pixel)
        )
        {
            return false;
        }

        double reach = ReachPixels(frame, place);
        return pixel.Column > -reach
            && pixel.Row > -reach
            && pixel.Column < frame.Lens.Columns + reach
            && pixel.Row < frame.Lens.Rows + reach;
    }

    /// <summary>Places within reach of a point at which several captures see a board.</summary>
    private List<Vector3D> Meetings(Vector3D known, int[] captures, PixelPoint[][] corners)
    {
        int[] near =
        [
            .. captures
                .Where(index => MaySee(index, known))
                .OrderBy(index => (frames[index]!.Pose.CentreLocalMetres - known).Length)
                .ThenBy(index => index)
                .Take(MostViews),
        ];
        PixelPoint[][] inReach = [.. near.Select(index => InReach(index, known, corners[index]))];
        List<(int Views, Vector3D Place)> met = [];
        for (int one = 0; one < near.Length; one++)
        {
            for (int other = one + 1; other < near.Length; other++)
            {
                foreach (PixelPoint here in inReach[one])
                {
                    foreach (PixelPoint there in inReach[other])
                    {
                        Sighting[] sights = [new(near[one], 0, here, 1), new(near[other], 0, there, 1)];
                        if (
                            RayMeeting.TryFind(sights, frames, MeetPixels, out Vector3D place, out _)
                            && InReach(place, known)
                        )
                        {
                            int views = near.Count(index => Nearest(index, place, corners) is not null);
                            if (views >= LeastViews)
                            {
                                met.Add((views, place));
                            }
                        }
                    }
                }
            }
        }

        List<Vector3D> kept = [];
        foreach ((_, Vector3D place) in met.OrderByDescending(entry => entry.Views))
        {
            if (kept.Count < PlacesPerPoint && kept.TrueForAll(other => (other - place).Length > SamePlaceMetres))
            {
                kept.Add(place);
            }
        }

        return kept;
    }

    private PixelPoint[] InReach(int capture, Vector3D known, PixelPoint[] corners)
    {
        SightedFrame frame = frames[capture]!;
        if (!frame.Lens.TryProject(frame.Pose.ToCamera(known), out PixelPoint pixel))
        {
            return [];
        }

        double reach = ReachPixels(frame, known);
        return
        [
            .. corners.Where(corner =>
                Math.Abs(corner.Column - pixel.Column) <= reach && Math.Abs(corner.Row - pixel.Row) <= reach
            ),
        ];
    }

    private double ReachPixels(SightedFrame frame, Vector3D place) =>
        (planReach + (SideShare * heightReach))
        / ((frame.Pose.CentreLocalMetres - place).Length * frame.PixelAngleRadians);

    private bool InReach(Vector3D place, Vector3D known)
    {
        Vector3D off = place - known;
        return (off.X * off.X) + (off.Y * off.Y) <= planReach * planReach && Math.Abs(off.Z) <= heightReach;
    }

    private PixelPoint? Nearest(int capture, Vector3D place, PixelPoint[][] corners)
    {
        if (!frames[capture]!.Lens.TryProject(frames[capture]!.Pose.ToCamera(place), out PixelPoint pixel))
        {
            return null;
        }

        PixelPoint? best = null;
        double least = MeetPixels * MeetPixels;
        foreach (PixelPoint corner in corners[capture])
        {
            double column = corner.Column - pixel.Column;
            double row = corner.Row - pixel.Row;
            double far = (column * column) + (row * row);
            if (far <= least)
            {
                (least, best) = (far, corner);
            }
        }

        return best;
    }

    /// <summary>The place of each point on which most agree; null when fewer than three do.</summary>
    private static Vector3D?[]? Agreed(IReadOnlyList<(string Id, Vector3D Place)> points, List<Vector3D>[] places)
    {
        Vector3D?[] best = [];
        int most = 0;
        double least = double.PositiveInfinity;
        for (int seed = 0; seed < points.Count; seed++)
        {
            foreach (Vector3D start in places[seed])
            {
                Vector3D shift = start - points[seed].Place;
                Vector3D?[] chosen =
                [
                    .. points.Select((point, index) => Closest(places[index], point.Place + shift, AgreementMetres)),
                ];
                int count = chosen.Count(place => place is not null);
                double spread = chosen
                    .Select((place, index) => place is { } at ? (at - points[index].Place - shift).Length : 0)
                    .Sum();
                if (count > most || (count == most && spread < least))
                {
                    (most, best, least) = (count, chosen, spread);
                }
            }
        }

        if (most < ControlSurvey.LeastPoints)
        {
            return null;
        }

        SimilarityMove move = SimilarityMove.Fit(
            [
                .. best.Select((place, index) => (points[index].Place, Found: place))
                    .Where(entry => entry.Found is not null)
                    .Select(entry => (entry.Place, entry.Found!.Value)),
            ],
            SimilarityMove.None,
            [1.5, 0.5, 0.2]
        );
        Vector3D?[] final =
        [
            .. points.Select((point, index) => Closest(places[index], move.Of(point.Place), FinalMetres)),
        ];
        return final.Count(place => place is not null) >= ControlSurvey.LeastPoints ? final : null;
    }

    private static Vector3D? Closest(List<Vector3D> places, Vector3D to, double reach)
    {
        Vector3D? best = null;
        foreach (Vector3D place in places)
        {
            double far = (place - to).Length;
            if (far <= reach)
            {
                (reach, best) = (far, place);
            }
        }

        return best;
    }

    private List<ControlMark> Marks(
        IReadOnlyList<(string Id, Vector3D Place)> points,
        Vector3D?[] chosen,
        int[] captures,
        PixelPoint[][] corners
    )
    {
        List<ControlMark> marks = [];
        for (int index = 0; index < points.Count; index++)
        {
            if (chosen[index] is not { } place)
            {
                continue;
            }

            foreach (int capture in captures)
            {
                if (Nearest(capture, place, corners) is { } pixel)
                {
                    BandFrame frame = input.Captures[capture].FrameOf(input.Profile.ReferenceBandName)!;
                    marks.Add(new ControlMark(points[index].Id, frame.File, frame.Page, pixel, MarkSigmaPixels));
                }
            }
        }

        return marks;
    }
}
