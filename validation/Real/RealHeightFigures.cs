using System.Globalization;
using System.Text.RegularExpressions;
using Hillrow.Earth;
using Hillrow.Validation.Chain;

namespace Hillrow.Validation.Real;

/// <summary>Trees of a steep alpine plot: a canopy model brought in, the exported trees' heights against the tape.</summary>
public sealed class RealAlpineFigures : FigureSource
{
    /// <summary>The rule of decision 41: a stem and a top belong together within a tenth of the height and a metre …</summary>
    private const double LeanShare = 0.10;
    private const double LeastMetres = 1;

    /// <summary>… and when their heights differ by no more than this share.</summary>
    private const double HeightShare = 0.30;

    public override string Area => "real";

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        if (RealData.Of(run, "alpine-chm-field-trees") is not { } data)
        {
            yield break;
        }

        (string estate, ReferenceSystem system, HillrowProcess.Ended ended) = RealData.Estates(run).Alpine(data);
        yield return RealData.Exit(
            "alpine.exitCode",
            ended,
            $"./hillrow run; a canopy model to the ledger: {RealData.Ledger(estate)}",
            run
        );
        (GridPoint Place, double Height)[] found =
        [
            .. RealData
                .Plants(estate, RealEstates.AlpineDate, run.ScratchFolder)
                .Values.Where(plant => plant.ContainsKey("top_height_metres"))
                .Select(plant =>
                    (
                        system.ToGrid(GeographicPoint.FromDegrees(plant["latitude"], plant["longitude"])),
                        plant["top_height_metres"]
                    )
                ),
        ];
        (GridPoint Stem, double Height)[] trees = [.. Trees(Path.Combine(data, "tree_inventory_chablais3.csv"))];
        double[] off = [.. Matched(trees, found)];
        string how = FormattableString.Invariant(
            $"{off.Length} of {trees.Length} living trees matched with one of {found.Length} exported plants by the rule of decision 41; dominated trees are not seen from above"
        );
        yield return new Figure("alpine.matchedShare", (double)off.Length / trees.Length, how);
        yield return new Figure("alpine.heightBiasMetres", off.Average(), how);
        yield return new Figure("alpine.heightRmseMetres", Math.Sqrt(off.Average(value => value * value)), how);
    }

    /// <summary>Height found less height by tape, of every pair; tall trees choose first, each the nearest left.</summary>
    private static IEnumerable<double> Matched(
        (GridPoint Stem, double Height)[] trees,
        (GridPoint Place, double Height)[] found
    )
    {
        bool[] taken = new bool[found.Length];
        foreach ((GridPoint stem, double height) in trees.OrderByDescending(tree => tree.Height))
        {
            int best = -1;
            double nearest = (LeanShare * height) + LeastMetres;
            for (int at = 0; at < found.Length; at++)
            {
                double x = found[at].Place.EastingMetres - stem.EastingMetres;
                double y = found[at].Place.NorthingMetres - stem.NorthingMetres;
                double distance = Math.Sqrt((x * x) + (y * y));
                if (!taken[at] && distance <= nearest && Math.Abs(found[at].Height - height) <= HeightShare * height)
                {
                    (best, nearest) = (at, distance);
                }
            }

            if (best >= 0)
            {
                taken[best] = true;
                yield return found[best].Height - height;
            }
        }
    }

    private static IEnumerable<(GridPoint Stem, double Height)> Trees(string path)
    {
        // x, y, diameter, height, number, species, "e" 1 for living, "t" 1 for leaning.
        foreach (
            string[] field in File.ReadLines(path).Skip(1).Where(line => line.Length > 0).Select(l => l.Split(','))
        )
        {
            if (
                field[6] == "1"
                && double.TryParse(field[3], CultureInfo.InvariantCulture, out double height)
                && height > 0
            )
            {
                yield return (
                    new GridPoint(
                        double.Parse(field[0], CultureInfo.InvariantCulture),
                        double.Parse(field[1], CultureInfo.InvariantCulture)
                    ),
                    height
                );
            }
        }
    }
}

/// <summary>A flight plan over real steep ground: the first refusal must say what works.</summary>
public sealed partial class RealAndesFigures : FigureSource
{
    private const int MostTries = 6;

    public override string Area => "real";

    public override int Order => 1;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        if (
            RealData.Of(run, "steep-dem-andes") is not { } data
            || RealData.Of(run, "kite-farmland") is not { } pictures
        )
        {
            yield break;
        }

        (string estate, string home) = RealData.Estates(run).Andes(data, pictures);
        List<string> wishes = ["--home=" + home];
        int tries = 0;
        HillrowProcess.Ended ended;
        do
        {
            tries++;
            ended = HillrowProcess.Run(["plan", estate, "--json", .. wishes]);
            string said = ended.Said.Trim().Split('\n')[^1];
            if (ended.Code != 0)
            {
                run.Say($"  refused: {said}");
                wishes = [.. Suggested().Matches(said).Select(match => match.Value.TrimEnd('.', ',', ';'))];
            }
        } while (ended.Code == 2 && wishes.Count > 0 && tries < MostTries);

        yield return RealData.Exit("andes.exitCode", ended, $"./hillrow plan at the try {tries}", run);
        yield return new Figure(
            "andes.tries",
            ended.Code == 0 ? tries : double.NaN,
            $"tries of ./hillrow plan on 16 ha of real ground of 53 % mean slope until it plans, each after the first as the refusal says: {string.Join(' ', wishes)}"
        );
        if (ended.Code == 0)
        {
            double captures = ended.Result.GetProperty("captures").GetDouble();
            yield return new Figure(
                "andes.capturesPerHectare",
                ended.Result.GetProperty("capturesPerHectare").GetDouble(),
                FormattableString.Invariant(
                    $"{captures} captures in {ended.Result.GetProperty("sorties").GetArrayLength()} sorties; told"
                )
            );
        }
    }

    [GeneratedRegex(@"--[a-z]+=[^\s]+")]
    private static partial Regex Suggested();
}
