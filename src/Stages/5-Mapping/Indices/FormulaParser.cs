using System.Globalization;
using Hillrow.Numerics;

namespace Hillrow.Mapping;

/// <summary>Reads ordinary arithmetic into steps. Bounded: length, nesting and steps have limits, so no text hangs or eats memory.</summary>
/// <remarks>
/// sum = product { (+|−) product }; product = signed { (*|/) signed }; signed = [−|+] power; power = atom [ ^ signed ];
/// atom = number | number nm | name | function(sum[, sum]) | (sum).
/// </remarks>
internal sealed class FormulaParser
{
    private const int LongestText = 2000;
    private const int DeepestNesting = 60;

    private readonly string text;
    private readonly string where;
    private readonly IReadOnlyList<FormulaBand> bands;
    private readonly IReadOnlyDictionary<string, double> constants;
    private readonly List<FormulaStep> steps = [];
    private readonly List<int> used = [];
    private int at;
    private int depth;

    private FormulaParser(
        string text,
        string where,
        IReadOnlyList<FormulaBand> bands,
        IReadOnlyDictionary<string, double> constants
    )
    {
        this.text = text;
        this.where = where;
        this.bands = bands;
        this.constants = constants;
    }

    public static (FormulaStep[] Steps, int[] BandsUsed) Parse(
        string text,
        string where,
        IReadOnlyList<FormulaBand> bands,
        IReadOnlyDictionary<string, double> constants
    )
    {
        FormulaParser parser = new(text, where, bands, constants);
        if (text.Length > LongestText)
        {
            throw parser.Fault(LongestText, $"the formula is longer than {LongestText} characters", "Shorten it.");
        }

        parser.Sum();
        parser.SkipSpace();
        if (parser.at < text.Length)
        {
            throw parser.Fault(
                parser.at,
                $"\"{text[parser.at]}\" is not expected here",
                "Write an operator (+ - * / ^) before it, or take it away."
            );
        }

        return ([.. parser.steps], [.. parser.used]);
    }

    private void Sum()
    {
        Enter();
        Product();
        while (Take('+') is var plus && (plus || Take('-')))
        {
            Product();
            steps.Add(new FormulaStep(plus ? FormulaStepKind.Add : FormulaStepKind.Subtract));
        }

        depth--;
    }

    private void Product()
    {
        Signed();
        while (Take('*') is var times && (times || Take('/')))
        {
            Signed();
            steps.Add(new FormulaStep(times ? FormulaStepKind.Multiply : FormulaStepKind.Divide));
        }
    }

    private void Signed()
    {
        Enter();
        if (Take('-'))
        {
            Signed();
            steps.Add(new FormulaStep(FormulaStepKind.Negate));
        }
        else if (Take('+'))
        {
            Signed();
        }
        else
        {
            Power();
        }

        depth--;
    }

    private void Power()
    {
        Atom();
        if (!Take('^'))
        {
            return;
        }

        int from = steps.Count;
        Signed();
        if (steps.Count == from + 1 && steps[from].Kind == FormulaStepKind.Number && steps[from].Number.Equals(2.0))
        {
            steps[from] = new FormulaStep(FormulaStepKind.Square);
        }
        else
        {
            steps.Add(new FormulaStep(FormulaStepKind.Power));
        }
    }

    private void Atom()
    {
        SkipSpace();
        int from = at;
        if (at >= text.Length)
        {
            throw Fault(at, "the formula ends where a band or number is expected", "Complete it.");
        }

        if (Take('('))
        {
            Sum();
            Close(from);
        }
        else if (char.IsAsciiDigit(text[at]) || text[at] == '.')
        {
            NumberOrWavelength();
        }
        else if (char.IsAsciiLetter(text[at]))
        {
            while (at < text.Length && (char.IsAsciiLetterOrDigit(text[at]) || text[at] == '_'))
            {
                at++;
            }

            Name(text[from..at], from);
        }
        else
        {
            throw Fault(at, $"\"{Shown(text[at])}\" is not expected here", "A band, a number or ( belongs here.");
        }
    }

    private void NumberOrWavelength()
    {
        int from = at;
        while (at < text.Length && (char.IsAsciiDigit(text[at]) || text[at] == '.'))
        {
            at++;
        }

        if (
            at < text.Length
            && text[at] is 'e' or 'E'
            && at + 1 < text.Length
            && (
                char.IsAsciiDigit(text[at + 1])
                || (text[at + 1] is '-' or '+' && at + 2 < text.Length && char.IsAsciiDigit(text[at + 2]))
            )
        )
        {
            at += 2;
            while (at < text.Length && char.IsAsciiDigit(text[at]))
            {
                at++;
            }
        }

        if (
            !double.TryParse(
                text.AsSpan(from, at - from),
                NumberStyles.Float,
                CultureInfo.InvariantCulture,
                out double number
            ) || !double.IsFinite(number)
        )
        {
            throw Fault(from, $"\"{text[from..at]}\" is no number", "Write numbers like 0.5 or 2e-3.");
        }

        if (at + 1 < text.Length && text[at] == 'n' && text[at + 1] == 'm')
        {
            at += 2;
            int band = FormulaBand.FindWavelength(bands, number);
            if (band < 0)
            {
                throw Fault(from, $"no band sees {text[from..at]}", $"The camera has {BandList()}.");
            }

            Use(band);
            return;
        }

        steps.Add(new FormulaStep(FormulaStepKind.Number, number));
    }

    private void Name(string name, int from)
    {
        if (Take('('))
        {
            Call(name, from);
            return;
        }

        if (constants.TryGetValue(name, out double constant))
        {
            steps.Add(new FormulaStep(FormulaStepKind.Number, constant));
            return;
        }

        int band = FormulaBand.Find(bands, name);
        if (band < 0)
        {
            throw Fault(from, $"there is no band \"{name}\"", $"The camera has {BandList()}.");
        }

        Use(band);
    }

    private void Call(string name, int from)
    {
        FormulaStepKind kind = name switch
        {
            "sqrt" => FormulaStepKind.SquareRoot,
            "exp" => FormulaStepKind.Exponential,
            "ln" => FormulaStepKind.Logarithm,
            "tanh" => FormulaStepKind.HyperbolicTangent,
            "abs" => FormulaStepKind.Absolute,
            "min" => FormulaStepKind.Least,
            "max" => FormulaStepKind.Greatest,
            _ => throw Fault(
                from,
                $"there is no function \"{name}\"",
                "There are sqrt, exp, ln, tanh, abs, min and max."
            ),
        };
        Sum();
        if (kind is FormulaStepKind.Least or FormulaStepKind.Greatest)
        {
            if (!Take(','))
            {
                throw Fault(at, $"{name} wants two values", $"Write {name}(a, b).");
            }

            Sum();
        }

        Close(from);
        steps.Add(new FormulaStep(kind));
    }

    private void Use(int band)
    {
        int position = used.IndexOf(band);
        if (position < 0)
        {
            position = used.Count;
            used.Add(band);
        }

        steps.Add(new FormulaStep(FormulaStepKind.Band, Band: position));
    }

    private void Close(int opened)
    {
        if (!Take(')'))
        {
            throw Fault(at, $"the bracket opened at character {opened + 1} is not closed", "Add ).");
        }
    }

    private void Enter()
    {
        if (++depth > DeepestNesting)
        {
            throw Fault(at, $"brackets or signs are nested deeper than {DeepestNesting}", "Write it flatter.");
        }
    }

    private bool Take(char wanted)
    {
        SkipSpace();
        if (at < text.Length && text[at] == wanted)
        {
            at++;
            return true;
        }

        return false;
    }

    private void SkipSpace()
    {
        while (at < text.Length && text[at] is ' ' or '\t')
        {
            at++;
        }
    }

    private string BandList() => string.Join(", ", bands.Select(band => band.Name));

    private static string Shown(char character) =>
        char.IsControl(character) ? FormattableString.Invariant($"U+{(int)character:X4}") : character.ToString();

    private InputProblemException Fault(int place, string problem, string remedy) =>
        new(where, $"at character {place + 1}: {problem}.", remedy);
}
