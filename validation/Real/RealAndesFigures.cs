using System.Globalization;
using System.Text.RegularExpressions;
using Hillrow.Earth;
using Hillrow.Validation.Chain;

namespace Hillrow.Validation.Real;

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
