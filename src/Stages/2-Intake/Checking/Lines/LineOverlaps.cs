using Hillrow.Numerics;

namespace Hillrow.Intake;

/// <summary>Overlap along each line, and line against the lines beside it.</summary>
internal static class LineOverlaps
{
    /// <summary>Lines that meet at a larger angle are not beside each other.</summary>
    private const double ParallelRadians = 20 * Math.PI / 180;

    /// <summary>A line flown again lies on the first one, of which this share of a frame's width is the error.</summary>
    private const double SameLineShare = 0.12;

    /// <summary>Farther apart than this many widths, lines belong to different blocks.</summary>
    private const double MostWidths = 1.6;

    public static IReadOnlyList<FlownLine> Measure(IReadOnlyList<CaptureLine> lines)
    {
        List<FlownLine> measured = [];
        foreach (IGrouping<string, CaptureLine> sortie in lines.GroupBy(line => line.Captures[0].Sortie))
        {
            int number = 0;
            foreach (CaptureLine line in sortie)
            {
                double[] forward =
                [
                    .. line
                        .Captures.Zip(line.Captures.Skip(1))
                        .Select(pair => Forward(pair.First, pair.Second, line.AzimuthRadians))
                        .Order(),
                ];
                double degrees = line.AzimuthRadians * 180 / Math.PI;
                measured.Add(
                    new FlownLine(
                        sortie.Key,
                        ++number,
                        line.Captures.Count,
                        line.LengthMetres,
                        degrees < 0 ? degrees + 360 : degrees,
                        forward[forward.Length / 2],
                        forward[0],
                        Side(line, lines)
                    )
                );
            }
        }

        return measured;
    }

    private static double Forward(LineCapture one, LineCapture next, double azimuth)
    {
        Vector3D step = next.Place - one.Place;
        double along = (step.X * Math.Sin(azimuth)) + (step.Y * Math.Cos(azimuth));
        return Math.Max(0, 1 - (Math.Abs(along) / (0.5 * (one.Chord(azimuth) + next.Chord(azimuth)))));
    }

    /// <summary>The lesser of the medians to the left and to the right; null when no line lies beside.</summary>
    private static double? Side(CaptureLine line, IReadOnlyList<CaptureLine> all)
    {
        double azimuth = line.AzimuthRadians;
        List<double> left = [];
        List<double> right = [];
        foreach (LineCapture capture in line.Captures)
        {
            double? nearestLeft = null;
            double? nearestRight = null;
            foreach (CaptureLine other in all)
            {
                if (other == line || !Parallel(azimuth, other.AzimuthRadians))
                {
                    continue;
                }

                if (Beside(capture, other, azimuth) is not { } beside)
                {
                    continue;
                }

                if (beside.Offset < 0)
                {
                    nearestLeft = Math.Max(nearestLeft ?? 0, beside.Overlap);
                }
                else
                {
                    nearestRight = Math.Max(nearestRight ?? 0, beside.Overlap);
                }
            }

            if (nearestLeft is { } toLeft)
            {
                left.Add(toLeft);
            }

            if (nearestRight is { } toRight)
            {
                right.Add(toRight);
            }
        }

        double?[] sides = [Middle(left, line.Captures.Count), Middle(right, line.Captures.Count)];
        return sides.Min();
    }

    /// <summary>How far another line passes beside a capture (right of its way is positive), and the overlap with its nearest frame.</summary>
    private static (double Offset, double Overlap)? Beside(LineCapture capture, CaptureLine other, double azimuth)
    {
        (double sin, double cos) = Math.SinCos(azimuth);
        LineCapture? nearest = null;
        double least = double.PositiveInfinity;
        foreach (LineCapture one in other.Captures)
        {
            Vector3D step = one.Place - capture.Place;
            double along = Math.Abs((step.X * sin) + (step.Y * cos));
            if (along < least)
            {
                (least, nearest) = (along, one);
            }
        }

        if (nearest is not { } beside || least > 0.5 * capture.Chord(azimuth))
        {
            return null;
        }

        Vector3D way = beside.Place - capture.Place;
        double offset = (way.X * cos) - (way.Y * sin);
        double across = azimuth + (Math.PI / 2);
        double width = 0.5 * (capture.Chord(across) + beside.Chord(across));
        return Math.Abs(offset) < SameLineShare * width || Math.Abs(offset) > MostWidths * width
            ? null
            : (offset, Math.Max(0, 1 - (Math.Abs(offset) / width)));
    }

    private static bool Parallel(double one, double other)
    {
        double turn = Math.Abs(Math.IEEERemainder(one - other, Math.PI));
        return turn < ParallelRadians;
    }

    /// <summary>Null when fewer than half of a line's captures have a neighbour on that side.</summary>
    private static double? Middle(List<double> overlaps, int captures)
    {
        if (overlaps.Count * 2 < captures)
        {
            return null;
        }

        overlaps.Sort();
        return overlaps[overlaps.Count / 2];
    }
}
