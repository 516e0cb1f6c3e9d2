using System.Globalization;
using Hillrow.Numerics;

namespace Hillrow.Planning;

/// <summary>Question, terrain and camera → sorties.</summary>
public static class PlanningStage
{
    /// <summary>Most chains whose order is bettered round after round; more would take seconds.</summary>
    private const int FewChains = 40;

    private const int SomeChains = 100;

    private const double TypicalRaiseShare = 0.4;

    /// <exception cref="InputProblemException">What is asked cannot be flown: says why, and what would work.</exception>
    public static PlanningResult Run(
        PlanningInput input,
        PlanningSettings settings,
        IProgress<WorkProgress>? progress = null,
        CancellationToken cancel = default
    )
    {
        ArgumentNullException.ThrowIfNull(input);
        ArgumentNullException.ThrowIfNull(settings);
        try
        {
            return Planned(input, settings, progress, cancel);
        }
        catch (PlanRefusal refusal)
        {
            string? works = PlanMending.Find(
                input,
                settings,
                refusal,
                (mended, asked) => Planned(mended, asked, null, cancel)
            );
            if (works is null)
            {
                throw;
            }

            throw new InputProblemException(
                refusal.Where,
                refusal.Problem,
                $"{refusal.Remedy} Tried, and works: {works}",
                refusal
            );
        }
    }

    private static PlanningResult Planned(
        PlanningInput input,
        PlanningSettings settings,
        IProgress<WorkProgress>? progress,
        CancellationToken cancel
    )
    {
        Check(input, settings);
        FlightGround ground = new(input, settings);
        CheckHeights(input, settings, ground);
        FrameReach frame = new(input.Terrain, input.Camera.Lens);
        KeptOutAreas keptOut = new(input.NoFly, settings.NoFlyMarginMetres);
        TurnCost turns = new(input.Aircraft, keptOut);
        List<string> cautions = [];

        progress?.Report(new WorkProgress("choosing the lines", 0));
        List<PlanField> fields = PlanField.Of(input.Blocks, JoinMetres(input, ground, frame));
        // Lines are laid for a part of the error in the end (see FieldLines); directions are compared near that.
        FlightGround partly = ground.RaisedBy(
            settings.CanopyMetres + (TypicalRaiseShare * (ground.RaiseMetres - settings.CanopyMetres))
        );
        FieldChoice choice = new(
            new DirectionChoice(partly, frame, input, settings, turns, keptOut),
            new FieldLines(ground, frame, input, settings),
            settings,
            keptOut
        );
        double promised = 1;
        List<LineSegment> segments = [];
        List<FieldDirection> directions = [];
        foreach (PlanField field in fields)
        {
            cancel.ThrowIfCancellationRequested();
            PlanPoint home = NearestHome(input, field);
            (LaidLines laid, FieldDirection told) = choice.Choose(field, home, fields.Count);
            directions.Add(told);
            segments.AddRange(laid.Segments);
            promised = Math.Min(promised, laid.Promise.Share);
            progress?.Report(new WorkProgress("choosing the lines", 0.5 * (field.Number + 1) / fields.Count));
        }

        SightFromHome sight = new(ground, input, settings, turns);
        List<LineSegment> assigned = sight.Assign(segments, out double leftOut);
        if (leftOut > 0)
        {
            cautions.Add(
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"{leftOut:0} m of lines are out of sight of every home and were left out: see the coverage."
                )
            );
        }

        progress?.Report(new WorkProgress("sharing out batteries", 0.5));
        IReadOnlyList<Sortie> sorties = Sorties(input, settings, ground, turns, keptOut, sight, assigned, cancel);
        progress?.Report(new WorkProgress("counting what is seen", 0.8));
        PlannedCoverage coverage = CoverageFigures.Of(ground, input, settings, sorties) with
        {
            PromisedShare = promised,
        };
        progress?.Report(new WorkProgress("looking at the light", 0.95));
        IReadOnlyList<LightMoment> light = LightWindows.Of(
            input,
            settings,
            [.. directions.Select(field => field.Chosen.AzimuthDegrees)]
        );
        cautions.AddRange(PlanCautions.Of(input, settings, sorties, coverage));
        return new PlanningResult
        {
            Input = input,
            Settings = settings,
            Sorties = sorties,
            Fields = directions,
            Coverage = coverage,
            Light = light,
            Marks = ProposedMarks.Of(input, settings, coverage),
            HeightMetres = ground.HeightMetres,
            MarginMetres = ground.MarginMetres,
            Cautions = cautions,
        };
    }

    private static IReadOnlyList<Sortie> Sorties(
        PlanningInput input,
        PlanningSettings settings,
        FlightGround ground,
        TurnCost turns,
        KeptOutAreas keptOut,
        SightFromHome sight,
        List<LineSegment> segments,
        CancellationToken cancel
    )
    {
        List<Sortie> sorties = [];
        SortieSplit split = new(new SortieRoute(ground, input, settings, turns, keptOut), input);
        SortieFigures figures = new(ground, input, settings, sight);
        int captures = 0;
        foreach (IGrouping<int, LineSegment> group in segments.GroupBy(segment => segment.Home).OrderBy(one => one.Key))
        {
            cancel.ThrowIfCancellationRequested();
            HomePoint home = input.Homes[group.Key];
            List<LineChain> chains = LineChain.Of([.. group]);
            int rounds =
                chains.Count <= FewChains ? 8
                : chains.Count <= SomeChains ? 1
                : 0;
            (IReadOnlyList<(LineSegment Segment, bool Back)> order, _) = new ChainOrder(
                chains,
                home.Place,
                turns.Seconds
            ).Best(rounds);
            List<FlownLine> lines =
            [
                .. order.Select(line => new FlownLine(line.Segment, line.Back, 0, line.Segment.Captures - 1)),
            ];
            foreach ((SortieRoute.Flown flown, _) in split.Split(home, lines))
            {
                sorties.Add(figures.Of(sorties.Count + 1, group.Key, flown, ref captures));
            }
        }

        return sorties;
    }

    private static void Check(PlanningInput input, PlanningSettings settings)
    {
        List<string> problems = [.. settings.Problems(), .. input.Aircraft.Problems()];
        if (input.Blocks.Count == 0)
        {
            problems.Add("there is no block to fly over");
        }

        if (input.Homes.Count == 0)
        {
            problems.Add("there is no home point");
        }

        if (problems.Count > 0)
        {
            throw new InputProblemException(
                "plan",
                string.Join("; ", problems) + ".",
                "Correct these, then plan again."
            );
        }

        foreach (HomePoint home in input.Homes)
        {
            if (!double.IsFinite(input.Terrain.HeightAt(home.Place.EastMetres, home.Place.NorthMetres)))
            {
                throw PlanRefusals.Void(input, home.Place);
            }

            if (input.NoFly.FirstOrDefault(area => area.Outline.Contains(home.Place)) is { } area)
            {
                throw new InputProblemException(
                    $"home \"{home.Name}\"",
                    $"lies in the no-fly area \"{area.Name}\".",
                    "Move the home out of it."
                );
            }
        }
    }

    private static void CheckHeights(PlanningInput input, PlanningSettings settings, FlightGround ground)
    {
        if (ground.HeightMetres > settings.CeilingMetres)
        {
            throw PlanRefusals.Ceiling(input, settings, ground.HeightMetres);
        }

        if (ground.HeightMetres < ground.MarginMetres + settings.CanopyMetres)
        {
            throw PlanRefusals.TooLow(input, settings, ground);
        }

        if (ground.HeightMetres <= 1.05 * ground.RaiseMetres)
        {
            throw PlanRefusals.Overlap(input, settings, 1e-3);
        }
    }

    /// <summary>Blocks nearer than half a strip share their lines.</summary>
    private static double JoinMetres(PlanningInput input, FlightGround ground, FrameReach frame)
    {
        PlanPoint place = input.Blocks[0].Parts[0].Centroid;
        double up = ground.GroundAt(place) + ground.HeightMetres;
        Reach reach = frame.At(place, up - ground.RaiseAt(up), 0);
        return reach.IsComplete ? reach.WidthMetres / 2 : throw PlanRefusals.Void(input, place);
    }

    private static PlanPoint NearestHome(PlanningInput input, PlanField field)
    {
        PlanPoint middle = field.Polygons[0].Centroid;
        return input.Homes.MinBy(home => home.Place.DistanceTo(middle))!.Place;
    }
}
