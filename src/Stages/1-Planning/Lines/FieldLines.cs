namespace Hillrow.Planning;

/// <summary>How dearly lines are laid.</summary>
/// <param name="RaiseShare">Share of the error, at the asked probability, that the ground is raised by.</param>
/// <param name="RulingPlace">Which place along a line rules, in the order of its overlap: 0 the worst, 0.5 the middle one.</param>
internal readonly record struct LineEffort(double RaiseShare, double RulingPlace);

/// <summary>A field as it is swept in one direction.</summary>
/// <param name="Slices">Across that direction.</param>
/// <param name="SizeOn">Strip and picture at the worst of some places, on a raised ground.</param>
internal sealed record FieldSweep(SweepSlices Slices, Func<FlightGround, StripSize> SizeOn);

/// <summary>Lines of a field, what they promise and how dearly they were laid.</summary>
internal sealed record LaidLines(List<LineSegment> Segments, OverlapPromise Promise, LineEffort Effort);

/// <summary>
/// Lays the lines of a field as far apart as the asked share of places allows. First for the middle place of each line
/// and ground a little higher than nominal, then for higher ground, at last for the worst place of each line on ground
/// higher by all its error: the first that keeps its promise is flown.
/// </summary>
internal sealed class FieldLines(FlightGround ground, FrameReach frame, PlanningInput input, PlanningSettings settings)
{
    /// <summary>On the nominal ground no place may lack a view; this much covers what lies between the places looked at.</summary>
    private const double MostSpareMetres = 1;

    /// <summary>Raises are tried this far apart, or farther.</summary>
    private const double StepMetres = 2.5;

    private const int MostSteps = 8;

    /// <summary>Where no-fly areas cut lines out, the share may fall this much short of what the dearest lines keep.</summary>
    private const double CutOutSlack = 0.0025;

    private readonly ExpectedOverlap expected = new(ground, input, settings);

    /// <exception cref="InputProblemException">The camera cannot trigger as often as the overlap needs.</exception>
    public LaidLines Lay(PlanField field, FieldSweep sweep, KeptOutAreas keptOut)
    {
        OverlapPromise wanted = Wanted();
        if (keptOut.LineLimits.Count > 0)
        {
            OverlapPromise most = Lay(field, sweep, keptOut, new LineEffort(1, 0)).Promise;
            wanted = new OverlapPromise(
                Math.Min(wanted.Share, most.Share - CutOutSlack),
                Math.Min(wanted.LeastMetres, most.LeastMetres)
            );
        }

        LaidLines laid = null!;
        foreach (LineEffort effort in Efforts())
        {
            laid = Lay(field, sweep, keptOut, effort);
            if (laid.Promise.Share >= wanted.Share && laid.Promise.LeastMetres >= wanted.LeastMetres)
            {
                break;
            }
        }

        return laid;
    }

    /// <summary>With a given effort, whatever it promises.</summary>
    public LaidLines Lay(PlanField field, FieldSweep sweep, KeptOutAreas keptOut, LineEffort effort)
    {
        FlightGround raised = ground.RaisedBy(
            settings.CanopyMetres + (effort.RaiseShare * (ground.RaiseMetres - settings.CanopyMetres))
        );
        StripSize size = sweep.SizeOn(raised);
        double fastest = LineSpeeds.Fastest(input, settings, (1 - settings.ForwardOverlap) * size.LengthMetres);
        List<LineSegment> segments = new LinePlacement(
            new LineSurvey(raised, frame, input, settings),
            input,
            settings,
            effort.RulingPlace
        ).Lay(field.Number, sweep.Slices, size, fastest, keptOut);
        return new LaidLines(segments, expected.Of(field, segments), effort);
    }

    /// <summary>Whether a promise is what is asked; never where no-fly areas cut lines out.</summary>
    public bool IsKept(OverlapPromise promise, KeptOutAreas keptOut) =>
        keptOut.LineLimits.Count == 0 && promise.Share >= Wanted().Share && promise.LeastMetres >= Wanted().LeastMetres;

    private OverlapPromise Wanted() =>
        new(settings.OverlapProbability, Math.Min(MostSpareMetres, (ground.RaiseMetres - settings.CanopyMetres) / 2));

    private IEnumerable<LineEffort> Efforts()
    {
        const double MiddlePlace = 0.5;
        int steps = Math.Clamp(
            (int)Math.Ceiling((ground.RaiseMetres - settings.CanopyMetres) / StepMetres),
            1,
            MostSteps
        );
        for (int step = 0; step <= steps; step++)
        {
            yield return new LineEffort((double)step / steps, MiddlePlace);
        }

        yield return new LineEffort(1, MiddlePlace / 2);
        yield return new LineEffort(1, 0);
    }
}
