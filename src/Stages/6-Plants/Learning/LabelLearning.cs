using Hillrow.Numerics.Regression;

namespace Hillrow.Plants;

/// <summary>A position as the block's own search judged it, and what it looks like.</summary>
/// <param name="X">Block metres.</param>
/// <param name="Y">Block metres.</param>
/// <param name="IsPlant">The search's verdict.</param>
/// <param name="Looks">Finite numbers, as many for every position.</param>
internal sealed record JudgedPosition(double X, double Y, bool IsPlant, double[] Looks);

/// <summary>
/// Learns from a person's labels which positions are plants: a logistic regression on what positions look like, held back
/// by a prior, tried on squares left out, and used only where that promises more positions put right than spoilt.
/// </summary>
/// <remarks>
/// People label what is wrong more often than what is right, so the share of wrong labels says nothing of the block. How
/// many positions of the block are wrong follows from how many the model would change, given the rates at which it
/// changes wrong and right ones (adjusted count: G. Forman 2008, doi 10.1007/s10618-008-0097-y, from memory). The rate of
/// right ones spoilt counts half a fault more than was seen. Takes milliseconds for hundreds of labels.
/// </remarks>
internal static class LabelLearning
{
    /// <summary>Fewer labels of plants or of others teach nothing.</summary>
    public const int LeastOfAKind = 8;

    private const int LeastSquares = 3;
    private const int MostSquares = 10;

    // A verdict is changed only by a clear answer.
    private const double Sure = 0.65;

    // Nor by one that this many spreads of right ones could hold: of thousands of right ones few lie farther off.
    private const double ClearSpreads = 3;

    /// <summary>New verdicts of all positions, and the trial; the verdicts are the old ones where it is not kept.</summary>
    /// <param name="positions">All positions of the block.</param>
    /// <param name="labels">By position: what a person said, or null.</param>
    /// <param name="spacing">Metres from plant to plant.</param>
    public static (bool[] IsPlant, LabelTrial Trial) Apply(
        IReadOnlyList<JudgedPosition> positions,
        IReadOnlyList<bool?> labels,
        double spacing
    )
    {
        bool[] verdicts = [.. positions.Select(position => position.IsPlant)];
        int[] labelled = [.. Enumerable.Range(0, labels.Count).Where(at => labels[at] is not null)];
        int wrong = labelled.Count(at => labels[at] != verdicts[at]);
        int[]? squares = SquaresOf(positions, labelled, spacing);
        int plants = labelled.Count(at => labels[at] == true);
        if (squares is null || plants < LeastOfAKind || labelled.Length - plants < LeastOfAKind)
        {
            return (verdicts, new LabelTrial(labelled.Length, 0, wrong, wrong, 1, 0, 0));
        }

        double[][] looks = Standardised(positions);
        double[] chances = new double[labelled.Length];
        foreach (int square in squares.Distinct())
        {
            int[] others = [.. Enumerable.Range(0, labelled.Length).Where(at => squares[at] != square)];
            double[]? part = Fit(looks, labelled, others, labels);
            for (int at = 0; at < labelled.Length; at++)
            {
                if (squares[at] == square)
                {
                    chances[at] = ChanceOfPlant(part, looks[labelled[at]], verdicts[labelled[at]]);
                }
            }
        }

        double[]? whole = Fit(looks, labelled, [.. Enumerable.Range(0, labelled.Length)], labels);
        (double low, double high) = Limits(verdicts, labelled, labels, chances);
        bool[] tried = [.. labelled.Select((at, own) => Verdict(chances[own], verdicts[at], low, high))];
        bool[] answers =
        [
            .. verdicts.Select((verdict, at) => Verdict(ChanceOfPlant(whole, looks[at], verdict), verdict, low, high)),
        ];

        // Taking away found plants and filling empty places are two matters: each must promise a gain of its own.
        double gain = 0;
        bool[] allowed = new bool[2];
        foreach (bool kind in (bool[])[true, false])
        {
            double own = ExpectedGain(kind, verdicts, answers, labelled, labels, tried);
            allowed[kind ? 1 : 0] = own > 0;
            gain += Math.Max(0, own);
        }

        int better = 0;
        int worse = 0;
        for (int at = 0; at < labelled.Length; at++)
        {
            bool old = verdicts[labelled[at]];
            if (allowed[old ? 1 : 0] && tried[at] != old)
            {
                better += labels[labelled[at]] == tried[at] ? 1 : 0;
                worse += labels[labelled[at]] == old ? 1 : 0;
            }
        }

        int[] changed =
        [
            .. Enumerable
                .Range(0, verdicts.Length)
                .Where(at => labels[at] is null && allowed[verdicts[at] ? 1 : 0] && answers[at] != verdicts[at]),
        ];
        LabelTrial trial = new(
            labelled.Length,
            squares.Distinct().Count(),
            wrong,
            wrong - better + worse,
            ChanceOf(better, worse),
            gain,
            0
        );
        if (!trial.Kept)
        {
            return (verdicts, trial);
        }

        foreach (int at in changed)
        {
            verdicts[at] = answers[at];
        }

        return (verdicts, trial with { Changed = changed.Length });
    }

    /// <summary>Positions of the block put right less those spoilt, of one kind of verdict.</summary>
    private static double ExpectedGain(
        bool kind,
        bool[] verdicts,
        bool[] answers,
        int[] labelled,
        IReadOnlyList<bool?> labels,
        bool[] tried
    )
    {
        double wrong = 0;
        double wrongChanged = 0;
        double right = 0;
        double rightChanged = 0;
        for (int at = 0; at < labelled.Length; at++)
        {
            if (verdicts[labelled[at]] == kind)
            {
                bool isWrong = labels[labelled[at]] != kind;
                bool isChanged = tried[at] != kind;
                wrong += isWrong ? 1 : 0;
                wrongChanged += isWrong && isChanged ? 1 : 0;
                right += isWrong ? 0 : 1;
                rightChanged += !isWrong && isChanged ? 1 : 0;
            }
        }

        if (wrong < LeastOfAKind / 2 || right < LeastOfAKind / 2)
        {
            return 0;
        }

        double hit = wrongChanged / wrong;
        double spoilt = (rightChanged + 0.5) / (right + 1);
        if (hit <= spoilt)
        {
            return 0;
        }

        int all = 0;
        int change = 0;
        for (int at = 0; at < verdicts.Length; at++)
        {
            all += labels[at] is null && verdicts[at] == kind ? 1 : 0;
            change += labels[at] is null && verdicts[at] == kind && answers[at] != kind ? 1 : 0;
        }

        double wrongInBlock = Math.Clamp((change - (spoilt * all)) / (hit - spoilt), 0, all);
        return (hit * wrongInBlock) - (spoilt * (all - wrongInBlock) * (change > 0 ? 1 : 0));
    }

    /// <summary>
    /// From where a verdict is changed: clear answers only, and none that would have spoilt a labelled right one. How often
    /// people label weeds shifts all chances; what right ones are given does not depend on it.
    /// </summary>
    private static (double Low, double High) Limits(
        bool[] verdicts,
        int[] labelled,
        IReadOnlyList<bool?> labels,
        double[] chances
    )
    {
        double low = 1 - Sure;
        double high = Sure;
        foreach (bool kind in (bool[])[true, false])
        {
            double[] links =
            [
                .. Enumerable
                    .Range(0, labelled.Length)
                    .Where(at => verdicts[labelled[at]] == kind && labels[labelled[at]] == kind)
                    .Select(at => Math.Log(chances[at] / (1 - chances[at]))),
            ];
            if (links.Length == 0)
            {
                continue;
            }

            double mean = links.Average();
            double spread = Math.Sqrt(links.Average(link => (link - mean) * (link - mean)));
            low = kind ? Math.Min(low, Chance(Math.Min(links.Min(), mean - (ClearSpreads * spread)))) : low;
            high = kind ? high : Math.Max(high, Chance(Math.Max(links.Max(), mean + (ClearSpreads * spread))));
        }

        return (low, high);
    }

    private static double Chance(double link) => 1 / (1 + Math.Exp(-link));

    private static bool Verdict(double chance, bool old, double low, double high) =>
        old ? chance >= low : chance > high;

    private static double ChanceOfPlant(double[]? coefficients, double[] looks, bool old)
    {
        if (coefficients is null)
        {
            return Chance(old ? 30 : -30);
        }

        double link = coefficients[0];
        for (int at = 0; at < looks.Length; at++)
        {
            link += coefficients[at + 1] * looks[at];
        }

        return Chance(Math.Clamp(link, -30, 30));
    }

    // A pair of made-up answers, one yes and one no, on every axis holds its coefficient back, as a prior would.
    private static double[]? Fit(double[][] looks, int[] labelled, int[] rows, IReadOnlyList<bool?> labels)
    {
        int features = looks[0].Length;
        int columns = features + 1;
        if (rows.Select(row => labels[labelled[row]]).Distinct().Count() < 2)
        {
            return null;
        }

        double[] design = new double[(rows.Length + (2 * features)) * columns];
        double[] response = new double[rows.Length + (2 * features)];
        for (int row = 0; row < rows.Length; row++)
        {
            design[row * columns] = 1;
            looks[labelled[rows[row]]].CopyTo(design, (row * columns) + 1);
            response[row] = labels[labelled[rows[row]]] == true ? 1 : 0;
        }

        for (int prior = 0; prior < 2 * features; prior++)
        {
            int row = rows.Length + prior;
            design[(row * columns) + 1 + (prior / 2)] = 1;
            response[row] = prior % 2;
        }

        return LogisticRegression.Fit(design, columns, response, 1e-6).Coefficients;
    }

    /// <summary>Number of its square by label; null when they lie in too few.</summary>
    private static int[]? SquaresOf(IReadOnlyList<JudgedPosition> positions, int[] labelled, double spacing)
    {
        for (double side = 10 * spacing; side >= 3 * spacing; side /= 1.5)
        {
            (int, int)[] cells =
            [
                .. labelled.Select(at =>
                    ((int)Math.Floor(positions[at].X / side), (int)Math.Floor(positions[at].Y / side))
                ),
            ];
            List<(int, int)> distinct = [.. cells.Distinct().Order()];
            if (distinct.Count >= LeastSquares)
            {
                return [.. cells.Select(cell => distinct.IndexOf(cell) % MostSquares)];
            }
        }

        return null;
    }

    private static double[][] Standardised(IReadOnlyList<JudgedPosition> positions)
    {
        int features = positions[0].Looks.Length;
        double[][] result = [.. positions.Select(position => (double[])position.Looks.Clone())];
        for (int feature = 0; feature < features; feature++)
        {
            double mean = result.Average(looks => looks[feature]);
            double spread = Math.Sqrt(result.Average(looks => (looks[feature] - mean) * (looks[feature] - mean)));
            foreach (double[] looks in result)
            {
                looks[feature] = spread > 1e-12 ? Math.Clamp((looks[feature] - mean) / spread, -4, 4) : 0;
            }
        }

        return result;
    }

    /// <summary>Chance of at least so many heads among that many tosses.</summary>
    internal static double ChanceOf(int better, int worse)
    {
        int tosses = better + worse;
        double chance = 0;
        double ways = 1;
        for (int heads = 0; heads <= tosses; heads++)
        {
            chance += heads >= better ? ways / Math.Pow(2, tosses) : 0;
            ways = ways * (tosses - heads) / (heads + 1);
        }

        return Math.Min(1, chance);
    }
}
