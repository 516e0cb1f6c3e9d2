using System.Globalization;
using System.Runtime.InteropServices;
using System.Security.Cryptography;
using System.Text.Json;
using Hillrow.TestSupport;
using Hillrow.Validation;

// ./validate AREA [--quick] [--json] [--only PREFIX] [--pictures]: exit 0 only if every figure of the area holds.
if (args is [Hillrow.Validation.Ground.CogMemoryFigures.ChildVerb, var childPath, var gigabytes])
{
    return Hillrow.Validation.Ground.CogMemoryFigures.Child(childPath, gigabytes);
}

if (args is [Hillrow.Validation.Intake.IntakeSpeedFigures.ChildVerb, var childEstate, var childCard, var childRate])
{
    return Hillrow.Validation.Intake.IntakeSpeedFigures.Child(childEstate, childCard, childRate);
}

bool quick = args.Contains("--quick");
bool json = args.Contains("--json");
int onlyAt = Array.IndexOf(args, "--only");
string only = onlyAt >= 0 && onlyAt + 1 < args.Length ? args[onlyAt + 1] : "";
string? area = args.FirstOrDefault(arg => !arg.StartsWith('-') && (only.Length == 0 || arg != only));
Goals goals = Goals.Read(Path.Combine(RepositoryFiles.Root, "validation", "goals.toml"));
if (area is null || !goals.Areas.Contains(area))
{
    Console.Error.WriteLine(
        $"usage: ./validate AREA [--quick] [--json] [--only PREFIX] [--pictures]; AREA is one of {string.Join(", ", goals.Areas)}"
    );
    return 2;
}

if (args.Contains("--pictures"))
{
    // Not figures: what the area's page shows, made anew.
    string pictures = Path.Combine(RepositoryFiles.Root, "docs", "validation", area);
    foreach (
        Type type in typeof(PictureSource)
            .Assembly.GetTypes()
            .Where(type => type.IsSubclassOf(typeof(PictureSource)) && !type.IsAbstract)
    )
    {
        PictureSource source = (PictureSource)Activator.CreateInstance(type)!;
        if (source.Area == area)
        {
            source.Make(pictures, Console.Error.WriteLine);
        }
    }

    return 0;
}

FigureSource[] sources =
[
    .. typeof(FigureSource)
        .Assembly.GetTypes()
        .Where(type => type.IsSubclassOf(typeof(FigureSource)) && !type.IsAbstract)
        .Select(type => (FigureSource)Activator.CreateInstance(type)!)
        .Where(source => source.Area == area)
        .OrderBy(source => source.Order)
        .ThenBy(source => source.GetType().Name, StringComparer.Ordinal),
];
ulong drawnSeed = BitConverter.ToUInt64(RandomNumberGenerator.GetBytes(8)) >> 16;
string scratch = Directory.CreateTempSubdirectory("hillrow-validate-").FullName;
void Say(string text) => Console.Error.WriteLine(text);
Say(FormattableString.Invariant($"area {area}, drawn seed {drawnSeed}{(quick ? ", quick" : "")}"));
IReadOnlyDictionary<string, Goal> promised = goals.Of(area);
List<(Figure Figure, Goal? Goal, bool Holds)> measured = [];
try
{
    foreach (FigureSource source in sources)
    {
        if (only.Length > 0 && !source.GetType().Name.StartsWith(only, StringComparison.OrdinalIgnoreCase))
        {
            continue;
        }

        Say($"measuring {source.GetType().Name}");
        string folder = Directory.CreateDirectory(Path.Combine(scratch, source.GetType().Name)).FullName;
        try
        {
            foreach (Figure figure in source.Measure(new ValidationRun(quick, folder, Say, drawnSeed)))
            {
                Goal? goal = promised.GetValueOrDefault(figure.Name);
                bool holds = goal?.Holds(figure.Value) ?? true;
                measured.Add((figure, goal, holds));
                Say(
                    string.Create(
                        CultureInfo.InvariantCulture,
                        $"  {(goal is null ? "told " : holds ? "holds" : "SHORT")} {figure.Name} = {figure.Value:G6} (goal {goal?.Text ?? "none"}) {figure.How}"
                    )
                );
            }
        }
        catch (Exception fault) when (fault is not OutOfMemoryException)
        {
            // One broken source must not hide the figures of the others; what it promised shows as missing below.
            Say($"  BROKEN {source.GetType().Name}: {fault.Message}");
        }

        Directory.Delete(folder, recursive: true);
    }
}
finally
{
    Directory.Delete(scratch, recursive: true);
}

if (only.Length == 0)
{
    foreach ((string name, Goal goal) in promised)
    {
        if (!measured.Exists(entry => entry.Figure.Name == name) && !quick)
        {
            measured.Add((new Figure(name, double.NaN, "not measured"), goal, false));
            Say($"  SHORT {name}: not measured (goal {goal.Text})");
        }
    }
}

bool all = measured.TrueForAll(entry => entry.Holds);
Say(
    $"{measured.Count(entry => entry.Goal is not null && entry.Holds)} of {measured.Count(entry => entry.Goal is not null)} goals hold"
);
if (json)
{
    string machine =
        $"{RuntimeInformation.OSDescription}, {RuntimeInformation.ProcessArchitecture}, {Environment.ProcessorCount} cores, .NET {Environment.Version}";
    Console.WriteLine(
        JsonSerializer.Serialize(
            new
            {
                area,
                machine,
                drawnSeed,
                figures = measured.Select(entry => new
                {
                    name = entry.Figure.Name,
                    value = double.IsFinite(entry.Figure.Value) ? entry.Figure.Value : (double?)null,
                    goal = entry.Goal?.Text,
                    holds = entry.Holds,
                    how = entry.Figure.How,
                }),
            }
        )
    );
}

return all ? 0 : 1;
