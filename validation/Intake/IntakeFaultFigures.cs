using System.Text.Json;
using Hillrow.Estate;
using Hillrow.Imaging;
using Hillrow.Intake;
using Hillrow.Numerics;

namespace Hillrow.Validation.Intake;

/// <summary>Faults planted on rehearsed flights: all found, none invented on the clean flight, holes where they are.</summary>
public sealed class IntakeFaultFigures : FigureSource
{
    private const double JumpDegrees = 60 / 111_000.0;

    private readonly List<string> missed = [];
    private readonly List<string> invented = [];
    private readonly List<(string Where, double Overlap)> holes = [];
    private readonly List<(string Where, double Overlap)> shapes = [];
    private readonly List<string> unlike = [];
    private readonly List<string> beside = [];
    private readonly HashSet<string> kinds = [];
    private int planted;
    private int flights;

    public override string Area => "intake";

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        IReadOnlyList<ulong> seeds = IntakeFlights.Seeds(run);
        FlownCard[] cards = [.. seeds.Select(seed => IntakeFlights.Of(seed, run))];
        for (int at = 0; at < cards.Length; at++)
        {
            int own = at;
            // Flown only when a fault wants it.
            Lazy<FlownCard> other = new(() => OtherCamera(cards, own, run));
            Trial trial = new(this, run, cards[at], other);
            trial.All();
            flights++;
        }

        string on = IntakeFlights.Told;
        yield return new Figure(
            "faults.planted",
            kinds.Count,
            $"kinds of fault: {string.Join(", ", kinds.Order(StringComparer.Ordinal))}"
        );
        yield return new Figure(
            "faults.notFound",
            missed.Count,
            $"of {planted} planted on {flights} rehearsed flights ({on}){(missed.Count > 0 ? ": " + string.Join("; ", missed) : "")}"
        );
        yield return new Figure(
            "clean.findingsInvented",
            invented.Count,
            $"findings, cautions, notes and holes on {flights} clean flights{(invented.Count > 0 ? ": " + string.Join("; ", invented) : "")}"
        );
        yield return new Figure(
            "blur.toldBesideTheBurst",
            beside.Count,
            $"sharp captures called blurred on flights with a burst{(beside.Count > 0 ? ": " + string.Join("; ", beside) : "")}"
        );
        yield return new Figure("holes.leastIoU", Least(holes), TellOf(holes, "true holes wider than 10 m"));
        yield return new Figure(
            "holes.leastIoUAfterOneShift",
            Least(shapes),
            TellOf(shapes, "the same, each flight's mean receiver error east and north taken off (decision 60)")
        );
        yield return new Figure(
            "order.resultsUnlike",
            unlike.Count,
            $"same card under shuffled folder names, and with 1 thread, on {flights} flights{(unlike.Count > 0 ? ": " + string.Join("; ", unlike) : "")}"
        );
    }

    /// <summary>The next flight of another dialect; the first fixed ones always stand ready.</summary>
    private static FlownCard OtherCamera(FlownCard[] cards, int at, ValidationRun run) =>
        Enumerable
            .Range(1, cards.Length - 1)
            .Select(step => cards[(at + step) % cards.Length])
            .FirstOrDefault(card => card.Dialect.Name != cards[at].Dialect.Name)
        ?? IntakeFlights.AnyOther(cards[at].Dialect.Name, run);

    private static double Least(List<(string Where, double Overlap)> of) =>
        of.Count == 0 ? double.NaN : of.Min(hole => hole.Overlap);

    private static string TellOf(List<(string Where, double Overlap)> of, string what) =>
        $"{of.Count} {what}; median {Median([.. of.Select(hole => hole.Overlap)]):0.000}; "
        + string.Join(
            ", ",
            of.OrderBy(hole => hole.Overlap)
                .Take(12)
                .Select(hole => FormattableString.Invariant($"{hole.Where} {hole.Overlap:0.00}"))
        );

    private static double Median(double[] values) =>
        values.Length == 0 ? double.NaN : values.Order().ElementAt(values.Length / 2);

    /// <summary>All that is done with one flight.</summary>
    private sealed class Trial(IntakeFaultFigures figures, ValidationRun run, FlownCard card, Lazy<FlownCard> other)
    {
        private readonly SplittableRandom draw = new SplittableRandom(card.Seed).Split("planted faults");
        private readonly string root = Path.Combine(
            run.ScratchFolder,
            FormattableString.Invariant($"faults-{card.Seed}")
        );
        private int folders;

        private string Name => FormattableString.Invariant($"{card.Seed} {card.Dialect.Name}");

        private IEnumerable<int> Survey => Enumerable.Range(2, card.Plan.Count);

        public void All()
        {
            Directory.CreateDirectory(root);
            TakenCard clean = Clean();
            (string Kind, Action Do)[] parts =
            [
                ("removed", Removed),
                ("blurred", Blurred),
                ("saturated", Saturated),
                ("missing", Missing),
                ("truncated", Truncated),
                ("clock", () => Clock(clean)),
                ("jump", () => Jump(permanent: false)),
                ("jump", () => Jump(permanent: true)),
                ("panel", () => Panel(after: true, before: false)),
                ("panel", () => Panel(after: false, before: true)),
                ("panel", () => Panel(after: true, before: true)),
                ("twice", () => Twice(clean)),
                ("second", () => SecondCamera(clean)),
                ("second", () => SameModel(clean)),
                ("swapped", Swapped),
                ("order", () => Order(clean)),
            ];
            foreach ((string kind, Action part) in parts.Where(part => IntakeFlights.Wants(part.Kind)))
            {
                part();
            }

            Directory.Delete(root, recursive: true);
        }

        private (CardWithFault Card, string Estate) New()
        {
            folders++;
            return (
                new CardWithFault(card, Path.Combine(root, $"card-{folders}")),
                Path.Combine(root, $"estate-{folders}")
            );
        }

        private void Found(string kind, bool found, string else_)
        {
            figures.planted++;
            figures.kinds.Add(kind);
            if (!found)
            {
                figures.missed.Add($"{kind} ({Name}: {else_})");
                run.Say($"  MISSED {kind}, {Name}: {else_}");
            }
        }

        private static string Told(TakenCard taken) =>
            string.Join(
                " | ",
                taken
                    .Check.Findings.GroupBy(finding => finding.Fault)
                    .Select(group => $"{group.Key} {group.Count()}")
                    .Concat(taken.Check.Cautions)
                    .Concat(taken.Check.Reasons)
            );

        private void Invented(string what)
        {
            figures.invented.Add($"{Name}: {what}");
            run.Say($"  INVENTED {Name}: {what}");
        }

        private TakenCard Clean()
        {
            (CardWithFault linked, string estate) = New();
            TakenCard taken = TakenCard.Take(card, [linked.Folder], estate);
            foreach (string caution in taken.Check.Cautions)
            {
                Invented(caution);
            }

            foreach (FrameFinding finding in taken.Check.Findings.Take(5))
            {
                Invented($"{finding.Fault} {finding.Where} {finding.Reason}");
            }

            foreach (IntakeNote note in taken.Intake.Notes.Where(note => note.Weight == NoteWeight.Excluded))
            {
                Invented(note.ToString());
            }

            TrueHoles truth = new(card, taken.Check.Map.Grid, taken.Frame, Survey);
            IReadOnlyList<(string Block, double Width, double Overlap)> real = truth.Judge(taken.Check.Holes);
            for (int hole = 0; hole < truth.Invented(taken.Check.Holes); hole++)
            {
                Invented($"a hole: {string.Join(' ', taken.Check.Reasons)}");
            }

            run.Say(
                FormattableString.Invariant(
                    $"  {Name}: {card.Captures} captures, clean: {taken.Check.Findings.Count} findings, {taken.Check.Holes.Count} holes of {real.Count}; panel {taken.Check.Panel.LargestDisagreement:0.000}, light {taken.Check.Light.Spread:0.000}"
                )
            );
            return taken;
        }

        private void Removed()
        {
            for (int line = 1; line < FlownCard.Lines - 1; line++)
            {
                (CardWithFault planted, string estate) = New();
                int[] gone = [.. card.OfLine(line)];
                foreach (int number in gone)
                {
                    planted.Remove(number);
                }

                TakenCard taken = TakenCard.Take(card, [planted.Folder], estate);
                TrueHoles truth = new(card, taken.Check.Map.Grid, taken.Frame, Survey.Except(gone));
                IReadOnlyList<(string Block, double Width, double Overlap)> real = truth.Judge(taken.Check.Holes);
                IEnumerable<(string, double)> Named(IEnumerable<(string Block, double Width, double Overlap)> judged) =>
                    judged.Select(hole =>
                        (FormattableString.Invariant($"{Name} line {line} {hole.Block} {hole.Width:0} m"), hole.Overlap)
                    );
                figures.holes.AddRange(Named(real));
                (double East, double North) shift = TrueHoles.MeanError(card, Survey.Except(gone));
                TrueHoles moved = new(card, taken.Check.Map.Grid, taken.Frame, Survey.Except(gone), shift);
                IReadOnlyList<(string Block, double Width, double Overlap)> shaped = moved.Judge(taken.Check.Holes);
                figures.shapes.AddRange(Named(shaped));
                run.Say(
                    FormattableString.Invariant(
                        $"  {Name} line {line}: {string.Join(", ", real.Select(hole => $"{hole.Block} {hole.Width:0.0} m {hole.Overlap:0.00}"))}; receiver {shift.East:0.00} {shift.North:0.00} m; shifted {string.Join(", ", shaped.Select(hole => $"{hole.Width:0.0} m {hole.Overlap:0.00}"))}; told {string.Join(", ", taken.Check.Holes.Select(hole => $"{hole.Block} {hole.WidthMetres:0.0}"))}; {taken.Check.Placing}"
                    )
                );
                Found(
                    "removed line",
                    real.Any(hole => hole.Overlap > 0) || (real.Count == 0 && taken.Check.Cautions.Any(Has("line"))),
                    $"line {line}, {real.Count} true holes; {Told(taken)}"
                );
            }
        }

        private void Blurred()
        {
            (CardWithFault planted, string estate) = New();
            int[] burst = Stretch(3 + (int)(draw.NextUInt64() % 5));
            foreach (int number in burst)
            {
                planted.Smear(number, draw.NextDouble(5, 9), draw.NextDouble(0, 180));
            }

            TakenCard taken = TakenCard.Take(card, [planted.Folder], estate);
            int[] told = Numbers(planted, taken, FrameFault.Blurred);
            Found(
                "blur burst",
                burst.All(told.Contains),
                $"{burst.Length} planted, {burst.Except(told).Count()} not told"
            );
            foreach (int number in told.Except(burst))
            {
                figures.beside.Add($"{Name}: capture {number} blurred beside a burst of {burst.Length}");
            }
        }

        private void Saturated()
        {
            (CardWithFault planted, string estate) = New();
            int[] stretch = Stretch(6);
            foreach (int number in stretch)
            {
                planted.Overexpose(number, draw.NextDouble(0.04, 0.4));
            }

            TakenCard taken = TakenCard.Take(card, [planted.Folder], estate);
            int[] told = Numbers(planted, taken, FrameFault.Saturated);
            Found(
                "saturated stretch",
                stretch.All(told.Contains),
                $"{stretch.Except(told).Count()} not told; {Told(taken)}"
            );
        }

        private void Missing()
        {
            if (card.Dialect.FilesOf(1).Count == 1)
            {
                // A band cannot be away where a capture is one file.
                return;
            }

            (CardWithFault planted, string estate) = New();
            int[] some = [.. Survey.Where(_ => draw.NextDouble() < 0.08).Append(9)];
            foreach (int number in some)
            {
                File.Delete(planted.FilesOf(number).ElementAt((int)(draw.NextUInt64() % 5)));
            }

            TakenCard taken = TakenCard.Take(card, [planted.Folder], estate);
            int count = taken.Of(FrameFault.MissingBand).Count();
            Found(
                "missing band files",
                count == some.Distinct().Count(),
                $"{some.Distinct().Count()} planted, {count} told"
            );
        }

        private void Truncated()
        {
            (CardWithFault planted, string estate) = New();
            HashSet<string> cut = [];
            while (cut.Count < 10)
            {
                string[] files = [.. planted.FilesOf(2 + (int)(draw.NextUInt64() % (ulong)card.Plan.Count))];
                string file = files[(int)(draw.NextUInt64() % (ulong)files.Length)];
                if (cut.Add(Path.GetRelativePath(planted.Folder, file)))
                {
                    byte[] whole = File.ReadAllBytes(file);
                    File.Delete(file);
                    File.WriteAllBytes(file, whole[..(int)(whole.Length * draw.NextDouble(0, 0.98))]);
                }
            }

            TakenCard taken = TakenCard.Take(card, [planted.Folder], estate);
            string[] told = [.. taken.Of(FrameFault.Unreadable).Select(finding => finding.Where)];
            int not = cut.Count(file => !told.Any(where => where.Contains(file, StringComparison.Ordinal)));
            Found("10 truncated files", not == 0, $"{not} not told; {Told(taken)}");
        }

        private void Clock(TakenCard clean)
        {
            (CardWithFault planted, string estate) = New();
            TimeSpan off = TimeSpan.FromHours(card.Seed / 4 % 2 == 0 ? 7 : -7);
            for (int number = 1; number <= card.Captures; number++)
            {
                planted.Edit(number, file => file.ShiftClock(off));
            }

            TakenCard taken = TakenCard.Take(card, [planted.Folder], estate);
            bool told = taken.Check.Cautions.Any(Has("clock"));
            TimeSpan left =
                taken.Intake.Captures[0].Capture.TimeUtc!.Value - clean.Intake.Captures[0].Capture.TimeUtc!.Value;
            Found("clock 7 h off", told, $"by {off.TotalHours} h, {left.TotalHours:0.00} h left; {Told(taken)}");
            run.Say(
                FormattableString.Invariant(
                    $"  {Name}: clock {off.TotalHours:+0;-0} h, {left.TotalHours:0.00} h left after intake"
                )
            );
        }

        private void Jump(bool permanent)
        {
            (CardWithFault planted, string estate) = New();
            int[] stretch = Stretch(1 + (int)(draw.NextUInt64() % 4));
            int[] moved = permanent ? [.. Survey.Where(number => number >= stretch[0])] : stretch;
            foreach (int number in moved)
            {
                planted.Edit(number, file => file.ShiftLatitude(JumpDegrees));
            }

            TakenCard taken = TakenCard.Take(card, [planted.Folder], estate);
            int[] told = Numbers(planted, taken, FrameFault.PositionOutlier);
            Found(
                "GPS jump of 60 m",
                permanent ? told.Contains(stretch[0]) : moved.All(told.Contains),
                $"{(permanent ? "for good" : "and back")}, at {stretch[0]}, {moved.Length} captures; {Told(taken)}"
            );
        }

        private void Panel(bool after, bool before)
        {
            (CardWithFault planted, string estate) = New();
            if (before)
            {
                planted.Shade(1);
            }

            if (after)
            {
                planted.Shade(card.Captures);
            }

            TakenCard taken = TakenCard.Take(card, [planted.Folder], estate);
            Found(
                "panel in shadow",
                taken.Check.Cautions.Any(Has("shadow")),
                $"{(before ? "before " : "")}{(after ? "after" : "")}; {taken.Check.Panel}"
            );
        }

        private void Twice(TakenCard clean)
        {
            (CardWithFault linked, string estate) = New();
            CardWithFault again = new(card, Path.Combine(linked.Folder, "COPY"));
            TakenCard taken = TakenCard.Take(card, [linked.Folder], estate);
            int files = card.Captures * card.Dialect.FilesOf(1).Count;
            int told = taken.Of(FrameFault.Duplicate).Sum(finding => finding.Count);
            bool same = Same(clean, taken);
            // And the whole intake again.
            SurveyAdded once = SurveyAddition.Add(
                EstateFolder.Open(estate),
                [linked.Folder],
                new SurveyWishes(new DateOnly(2026, 4, 12)) { Look = true }
            );
            Found(
                "card imported twice",
                told >= files && same && once.Files == 0 && EstateFolder.Open(estate).Surveys().Count == 1,
                $"{told} of {files} told, same result: {same}, again: {once.Files} files; {again.Folder.Length > 0}"
            );
        }

        private void SecondCamera(TakenCard clean)
        {
            (CardWithFault linked, string estate) = New();
            string[] foreign =
            [
                .. Directory
                    .GetFiles(other.Value.CardFolder, "*.tif*", SearchOption.AllDirectories)
                    .Concat(Directory.GetFiles(other.Value.CardFolder, "*.TIF", SearchOption.AllDirectories))
                    .Distinct()
                    .Order(StringComparer.Ordinal),
            ];
            string[] mixed = [.. foreign.Where((_, at) => at % 4 == 1)];
            foreach (string file in mixed)
            {
                // Between the own ones, as two cards copied into one folder are; numbers kept, folders too where names tell nothing.
                string target = Path.Combine(linked.Folder, Path.GetRelativePath(other.Value.CardFolder, file));
                target = File.Exists(target)
                    ? Path.Combine(linked.Folder, "other", Path.GetRelativePath(other.Value.CardFolder, file))
                    : target;
                Directory.CreateDirectory(Path.GetDirectoryName(target)!);
                File.Copy(file, target);
            }

            TakenCard taken = TakenCard.Take(card, [linked.Folder], estate);
            int told = taken.Of(FrameFault.OtherCamera).Sum(finding => finding.Count);
            bool same = Same(clean, taken);
            Found(
                "second camera's files mixed in",
                told >= mixed.Length && same,
                $"{told} of {mixed.Length} files of {other.Value.Dialect.Name} told, same result: {same}; {Told(taken)}"
            );
        }

        private void SameModel(TakenCard clean)
        {
            (CardWithFault linked, string estate) = New();
            string folder = Path.Combine(root, $"second-{folders}");
            CardWithFault second = new(card, folder);
            string serial = FormattableString.Invariant($"HR{card.Seed % 1_000_000:000000}");
            string otherSerial = FormattableString.Invariant($"HR{(card.Seed + 77) % 1_000_000:000000}");
            for (int number = 1; number <= card.Captures; number++)
            {
                if (number is > 10 and < 30)
                {
                    second.Edit(number, file => file.ReplaceText(serial, otherSerial));
                }
                else
                {
                    second.Remove(number);
                }
            }

            Directory.Move(folder, Path.Combine(linked.Folder, "second"));
            TakenCard taken = TakenCard.Take(card, [linked.Folder], estate);
            int told = taken.Of(FrameFault.OtherCamera).Sum(finding => finding.Count);
            bool same = Same(clean, taken);
            Found(
                "second camera's files mixed in",
                told >= 19 && same,
                $"of the same model, {told} told, same result: {same}; {Told(taken)}"
            );
        }

        private void Swapped()
        {
            // Green and red, the hardest, on every flight, and three pairs more, drawn of all ten.
            (int, int)[] pairs =
            [
                .. Enumerable
                    .Range(0, 5)
                    .SelectMany(one => Enumerable.Range(one + 1, 4 - one).Select(second => (one, second)))
                    .OrderBy(_ => draw.NextUInt64())
                    .Take(3),
            ];
            foreach ((int one, int second) in pairs.Append((1, 2)).Distinct())
            {
                (CardWithFault planted, string estate) = New();
                planted.SwapBands(one, second);
                TakenCard taken = TakenCard.Take(card, [planted.Folder], estate);
                string[] names = [Rehearsal_Band(one), Rehearsal_Band(second)];
                Found(
                    "two bands' names swapped",
                    taken.Check.Cautions.Any(text =>
                        text.Contains("swapped", StringComparison.Ordinal)
                        && names.All(name => text.Contains(name, StringComparison.Ordinal))
                    ),
                    $"{names[0]} and {names[1]}; {Told(taken)}"
                );
            }
        }

        private static string Rehearsal_Band(int band) => Hillrow.Rehearsal.RigBand.Five[band].Name;

        private void Order(TakenCard clean)
        {
            (CardWithFault linked, string estate) = New();
            string shuffled = Path.Combine(root, $"shuffled-{folders}");
            for (int number = 1; number <= card.Captures; number++)
            {
                string folder = Path.Combine(
                    shuffled,
                    draw.NextUInt64().ToString("x16", System.Globalization.CultureInfo.InvariantCulture)
                );
                foreach (string file in card.Dialect.FilesOf(number))
                {
                    string target = Path.Combine(folder, file);
                    Directory.CreateDirectory(Path.GetDirectoryName(target)!);
                    File.Move(Path.Combine(linked.Folder, file), target);
                }
            }

            TakenCard taken = TakenCard.Take(card, [shuffled], estate, threads: 1);
            if (!Same(clean, taken))
            {
                figures.unlike.Add(Name);
            }
        }

        /// <summary>Same captures with the same values, holes, coverage, panel and light; file names apart.</summary>
        private static bool Same(TakenCard one, TakenCard other) => Plain(one) == Plain(other);

        private static string Plain(TakenCard taken) =>
            JsonSerializer.Serialize(
                new
                {
                    captures = taken.Intake.Captures.Select(entry => new
                    {
                        entry.Capture.Id,
                        entry.Capture.TimeUtc,
                        Latitude = entry.Capture.Position?.Latitude.Radians,
                        Longitude = entry.Capture.Position?.Longitude.Radians,
                        entry.Capture.Position?.HeightMetres,
                        entry.Role,
                        frames = entry.Capture.Frames.Select(frame => new
                        {
                            frame.Band,
                            frame.Page,
                            frame.ExposureSeconds,
                            frame.Gain,
                            frame.Irradiance,
                        }),
                    }),
                    taken.Check.Holes,
                    taken.Check.Blocks,
                    taken.Check.Panel,
                    taken.Check.Light,
                    taken.Check.Go,
                    faults = taken
                        .Check.Findings.Where(finding =>
                            finding.Fault is not (FrameFault.Duplicate or FrameFault.OtherCamera)
                        )
                        .Select(finding => (finding.Fault, finding.Capture).ToString()),
                }
            );

        private int[] Stretch(int length)
        {
            int line = (int)(draw.NextUInt64() % FlownCard.Lines);
            int[] of = [.. card.OfLine(line)];
            int first = 1 + (int)(draw.NextUInt64() % (ulong)(of.Length - length - 1));
            return of[first..(first + length)];
        }

        private static int[] Numbers(CardWithFault planted, TakenCard taken, FrameFault fault)
        {
            Dictionary<string, string> fileOf = taken.Intake.Captures.ToDictionary(
                entry => entry.Capture.Id,
                entry => entry.Capture.Frames[0].File
            );
            return
            [
                .. taken
                    .Of(fault)
                    .Where(finding => finding.Capture.Length > 0)
                    .Select(finding => planted.NumberOf(fileOf[finding.Capture]))
                    .Distinct()
                    .Order(),
            ];
        }

        private static Func<string, bool> Has(string word) =>
            text => text.Contains(word, StringComparison.OrdinalIgnoreCase);
    }
}
