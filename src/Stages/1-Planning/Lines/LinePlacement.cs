namespace Hillrow.Planning;

/// <summary>
/// Lays parallel lines over a field one after the other, each as far from the one before as the side overlap along both
/// allows, and finds each line's capture distance from the forward overlap along it.
/// </summary>
/// <param name="survey">Of lines on the raised ground.</param>
/// <param name="input">Camera and aircraft.</param>
/// <param name="settings">What is asked.</param>
/// <param name="rulingPlace">Which place along a line rules, in the order of its overlap: 0 the worst, 0.5 the middle one.</param>
internal sealed class LinePlacement(
    LineSurvey survey,
    PlanningInput input,
    PlanningSettings settings,
    double rulingPlace
)
{
    private const int Tries = 6;

    /// <summary>Overlap this much below the asked one counts as kept: stations are not everywhere.</summary>
    private const double Slack = 0.002;

    /// <param name="field">Number of the field.</param>
    /// <param name="slices">The field cut across this direction.</param>
    /// <param name="start">Strip width and picture length to begin with, on the raised ground.</param>
    /// <param name="fastest">Fastest speed of a line.</param>
    /// <param name="keptOut">Cut out of the lines.</param>
    public List<LineSegment> Lay(int field, SweepSlices slices, StripSize start, double fastest, KeptOutAreas keptOut)
    {
        List<LineSegment> segments = [];
        double spacing = (1 - settings.SideOverlap) * start.WidthMetres;
        StripSize size = start;
        double widestGap = spacing;
        Stretch all = slices.Across(size.Lines(settings, widestGap));
        // Middle the whole number of lines over the field: both outer lines then lie equally far out.
        int lines = Math.Max(1, (int)Math.Ceiling((all.Length / spacing) - 1e-9) + 1);
        double across = all.From - ((((lines - 1) * spacing) - all.Length) / 2);
        SurveyedLine? before = null;
        for (int number = 0; across <= all.To + spacing; number++)
        {
            SurveyedLine? line = LineAt(slices, across, size, widestGap, fastest, keptOut);
            for (int tries = 0; before is not null && line is not null && tries < Tries; tries++)
            {
                double overlap = SideOverlap(before, line);
                if (!(overlap < settings.SideOverlap - Slack))
                {
                    break;
                }

                double nearer = (across - before.Across) * (1 - settings.SideOverlap) / (1 - overlap);
                across = before.Across + Math.Min(nearer, 0.97 * (across - before.Across));
                line = LineAt(slices, across, size, widestGap, fastest, keptOut);
            }

            if (line is not null)
            {
                AddSegments(segments, field, number, slices.Axes, line);
                StripSize found = line.Size;
                double gap = before is null ? 0 : across - before.Across;
                if (double.IsFinite(found.WidthMetres))
                {
                    size = found;
                    spacing = (1 - settings.SideOverlap) * found.WidthMetres;
                }

                // Neighbours see an edge together: the wider of their distances rules how far lines go on beyond it.
                widestGap = Math.Max(spacing, gap);
                all = slices.Across(size.Lines(settings, widestGap));
                before = line;
            }
            else
            {
                before = null;
            }

            if (across >= all.To)
            {
                break;
            }

            across += spacing;
        }

        return segments;
    }

    private SurveyedLine? LineAt(
        SweepSlices slices,
        double across,
        StripSize size,
        double widestGap,
        double fastest,
        KeptOutAreas keptOut
    )
    {
        List<Stretch> pieces = slices.PiecesAt(across, size.Lines(settings, widestGap), size.Captures(settings));
        pieces = LineStretches.Without(pieces, LineStretches.Inside(slices.Axes, keptOut.LineLimits, across));
        return pieces.Count == 0 ? null : survey.Lay(slices.Axes, across, pieces, fastest);
    }

    /// <summary>Share of the wider strip that both lines see, at the ruling one of the stations that both have.</summary>
    private double SideOverlap(SurveyedLine left, SurveyedLine right)
    {
        List<double> overlaps = [];
        double distance = right.Across - left.Across;
        for (int at = 0; at < right.Reaches.Length; at++)
        {
            int station = right.FirstStation + at;
            if (right.TryReach(station, out Reach there) && left.TryReach(station, out Reach here))
            {
                double shared = here.RightMetres + there.LeftMetres - distance;
                overlaps.Add(shared / Math.Max(here.WidthMetres, there.WidthMetres));
            }
        }

        return overlaps.Count == 0 ? 1 : Math.Min(1, Ruling(overlaps));
    }

    private double Ruling(List<double> values)
    {
        values.Sort();
        return values[(int)(rulingPlace * (values.Count - 1))];
    }

    private void AddSegments(List<LineSegment> segments, int field, int number, SweepAxes axes, SurveyedLine line)
    {
        foreach (Stretch piece in line.Pieces)
        {
            double largest = LargestBase(axes, line, piece, out double shortest, out double narrowest);
            double speed = Math.Min(line.SpeedMetresPerSecond, largest / input.Camera.ShortestIntervalSeconds);
            if (speed < input.Aircraft.SlowestSurveySpeedMetresPerSecond - 1e-9)
            {
                throw PlanRefusals.Overlap(
                    input,
                    settings,
                    Math.Min(largest, line.SpeedMetresPerSecond * input.Camera.ShortestIntervalSeconds)
                );
            }

            LineSegment segment = new()
            {
                Field = field,
                Line = number,
                Axes = axes,
                Across = line.Across,
                Along = piece,
                SpeedMetresPerSecond = speed,
                WidthMetres = narrowest,
                LengthMetres = shortest,
                Heights = line.Heights,
                FirstStation = line.FirstStation,
            };
            segment.SpreadCaptures(largest);
            // Spreading brought captures nearer together; the camera's interval must still hold.
            segment.SpeedMetresPerSecond = Math.Max(
                input.Aircraft.SlowestSurveySpeedMetresPerSecond,
                Math.Min(speed, segment.BaseMetres / input.Camera.ShortestIntervalSeconds)
            );
            segments.Add(segment);
        }
    }

    /// <summary>Greatest capture distance that keeps the forward overlap at the strip's edges and middle, at the ruling place of a piece.</summary>
    private double LargestBase(
        SweepAxes axes,
        SurveyedLine line,
        Stretch piece,
        out double shortest,
        out double narrowest
    )
    {
        int first = (int)Math.Floor(piece.From / LineSurvey.StationMetres);
        int last = (int)Math.Ceiling(piece.To / LineSurvey.StationMetres);
        List<double> bases = [];
        shortest = double.PositiveInfinity;
        narrowest = double.PositiveInfinity;
        for (int station = first; station <= last; station++)
        {
            if (!line.TryReach(station, out Reach here))
            {
                throw PlanRefusals.Void(input, axes.PlaceOf(station * LineSurvey.StationMetres, line.Across));
            }

            shortest = Math.Min(shortest, here.ShortestLengthMetres);
            narrowest = Math.Min(narrowest, here.WidthMetres);
            double largest = double.PositiveInfinity;
            Reach next = line.TryReach(station + 1, out Reach there) ? there : here;
            for (int column = 0; column < 3; column++)
            {
                // The next capture's back edge lies base − back ahead: what both see is front + back − base.
                double length = here.Front(column) + here.Back(column);
                double nextLength = next.Front(column) + next.Back(column);
                double shared = Math.Min(here.Front(column) + next.Back(column), Math.Min(length, nextLength));
                largest = Math.Min(largest, shared - (settings.ForwardOverlap * Math.Min(length, nextLength)));
            }

            bases.Add(largest);
        }

        return Math.Max(Ruling(bases), 1e-3);
    }
}
