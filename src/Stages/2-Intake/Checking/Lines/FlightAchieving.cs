using System.Globalization;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Intake;

/// <summary>Measures what a flight achieved, from its counted captures.</summary>
internal static class FlightAchieving
{
    /// <summary>A trigger is achieved by a capture this near, at least: receivers without corrections, and autopilots, err by metres.</summary>
    private const double NearMetres = 10;

    /// <summary>And by this share of the way between planned triggers, where they lie far apart.</summary>
    private const double NearShare = 0.6;

    /// <summary>Overlap short of the wish by less is the terrain's doing.</summary>
    private const double OverlapSlack = 0.05;

    /// <summary>Pixels coarser than wished by less do no harm.</summary>
    private const double PixelSlack = 1.15;

    private const int MostLinesTold = 8;

    /// <param name="captures">Counted ones, in the order of triggering, with position and attitude.</param>
    /// <param name="frames">The same captures as they stood in the air.</param>
    /// <param name="ground">In the same local frame.</param>
    /// <param name="wanted">The plan; null when none was made.</param>
    public static AchievedFlight Measure(
        IReadOnlyList<IntakeCapture> captures,
        IReadOnlyList<SightedFrame> frames,
        HeightField ground,
        WantedFlight? wanted
    )
    {
        List<LineCapture> flown = [];
        List<double> pixels = [];
        for (int at = 0; at < frames.Count; at++)
        {
            Vector3D place = frames[at].Pose.CentreLocalMetres;
            double above = place.Z - ground.HeightAt(place.X, place.Y);
            if (!(above > 1))
            {
                continue;
            }

            double pixel = above * frames[at].PixelAngleRadians;
            pixels.Add(pixel);
            if (captures[at].Capture.TimeUtc is { } time)
            {
                Lens lens = frames[at].Lens;
                flown.Add(
                    new LineCapture(
                        captures[at].Capture.Sortie,
                        (time - DateTimeOffset.UnixEpoch).TotalSeconds,
                        place,
                        captures[at].Capture.Attitude!.Value.Yaw.Radians,
                        pixel * lens.Rows,
                        pixel * lens.Columns
                    )
                );
            }
        }

        IReadOnlyList<FlownLine> lines = LineOverlaps.Measure(FlownLines.Find(flown));
        pixels.Sort();
        return new AchievedFlight
        {
            Lines = lines,
            ForwardOverlap = Middle(lines.Select(line => (double?)line.ForwardOverlap)),
            SideOverlap = Middle(lines.Select(line => line.SideOverlap)),
            Pixels =
                pixels.Count == 0
                    ? null
                    : new PixelSpread(
                        pixels[(int)(0.05 * (pixels.Count - 1))],
                        pixels[pixels.Count / 2],
                        pixels[(int)Math.Ceiling(0.95 * (pixels.Count - 1))]
                    ),
            Plan = wanted is null ? null : Against(wanted, frames),
        };
    }

    /// <summary>One sentence for each thing that came out worse than the plan asked.</summary>
    public static IEnumerable<CheckSentence> Shortfalls(AchievedFlight flight)
    {
        if (flight.Plan is not { } plan)
        {
            yield break;
        }

        PlannedLine[] unflown = [.. plan.Lines.Where(line => !line.Flown)];
        if (unflown.Length > 0)
        {
            string names = string.Join(
                ", ",
                unflown
                    .Take(MostLinesTold)
                    .Select(line =>
                        string.Create(
                            CultureInfo.InvariantCulture,
                            $"{line.Sortie}.{line.Line} {line.Achieved}/{line.Planned}"
                        )
                    )
            );
            yield return CheckSentence.Of(
                "plan.lines",
                unflown.Length,
                plan.Lines.Count,
                unflown.Length > MostLinesTold ? names + ", …" : names
            );
        }

        if (flight.ForwardOverlap is { } forward && forward < plan.WantedForwardOverlap - OverlapSlack)
        {
            yield return CheckSentence.Of("plan.forward", 100 * forward, 100 * plan.WantedForwardOverlap);
        }

        if (flight.SideOverlap is { } side && side < plan.WantedSideOverlap - OverlapSlack)
        {
            yield return CheckSentence.Of("plan.side", 100 * side, 100 * plan.WantedSideOverlap);
        }

        if (flight.Pixels is { } pixels && pixels.MiddleMetres > PixelSlack * plan.WantedPixelMetres)
        {
            yield return CheckSentence.Of("plan.pixels", 100 * pixels.MiddleMetres, 100 * plan.WantedPixelMetres);
        }
    }

    private static AchievedPlan Against(WantedFlight wanted, IReadOnlyList<SightedFrame> frames)
    {
        double[] steps =
        [
            .. wanted
                .Captures.Zip(wanted.Captures.Skip(1))
                .Where(pair => (pair.First.Sortie, pair.First.Line) == (pair.Second.Sortie, pair.Second.Line))
                .Select(pair =>
                    Math.Sqrt(
                        Square(pair.First.Place.East - pair.Second.Place.East)
                            + Square(pair.First.Place.North - pair.Second.Place.North)
                    )
                )
                .Order(),
        ];
        double near = Math.Max(NearMetres, steps.Length == 0 ? 0 : NearShare * steps[steps.Length / 2]);
        ILookup<(long, long), int> cells = Enumerable
            .Range(0, frames.Count)
            .ToLookup(at => CellOf(frames[at].Pose.CentreLocalMetres.X, frames[at].Pose.CentreLocalMetres.Y, near));
        bool[] taken = new bool[frames.Count];
        PlannedLine[] lines =
        [
            .. wanted
                .Captures.GroupBy(capture => (capture.Sortie, capture.Line))
                .OrderBy(line => line.Key)
                .Select(line => new PlannedLine(
                    line.Key.Sortie,
                    line.Key.Line,
                    line.Count(),
                    line.Count(capture => Takes(frames, cells, taken, capture.Place, near))
                )),
        ];
        return new AchievedPlan(
            wanted.Name,
            wanted.Captures.Count,
            lines.Sum(line => line.Achieved),
            lines,
            wanted.ForwardOverlap,
            wanted.SideOverlap,
            wanted.PixelMetres
        );
    }

    /// <summary>Whether a capture near a planned place is left for it; the nearest one is then taken, for no other place.</summary>
    private static bool Takes(
        IReadOnlyList<SightedFrame> frames,
        ILookup<(long, long), int> cells,
        bool[] taken,
        LocalPlace wanted,
        double near
    )
    {
        (long column, long row) = CellOf(wanted.East, wanted.North, near);
        int nearest = -1;
        double least = near * near;
        for (long down = -1; down <= 1; down++)
        {
            for (long across = -1; across <= 1; across++)
            {
                foreach (int at in cells[(column + across, row + down)])
                {
                    Vector3D place = frames[at].Pose.CentreLocalMetres;
                    double distance = Square(place.X - wanted.East) + Square(place.Y - wanted.North);
                    if (!taken[at] && distance <= least)
                    {
                        (nearest, least) = (at, distance);
                    }
                }
            }
        }

        if (nearest < 0)
        {
            return false;
        }

        taken[nearest] = true;
        return true;
    }

    private static (long, long) CellOf(double east, double north, double cell) =>
        ((long)Math.Floor(east / cell), (long)Math.Floor(north / cell));

    private static double Square(double value) => value * value;

    private static double? Middle(IEnumerable<double?> values)
    {
        double[] sorted = [.. values.OfType<double>().Order()];
        return sorted.Length == 0 ? null : sorted[sorted.Length / 2];
    }
}
