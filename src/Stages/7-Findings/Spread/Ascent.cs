namespace Hillrow.Findings;

/// <summary>The best background and contact hazard for one reach: a concave likelihood climbed to its top.</summary>
/// <param name="Background">ε, 0 or above, per day.</param>
/// <param name="Contact">β, 0 or above, per day.</param>
/// <param name="LogLikelihood">There.</param>
internal readonly record struct Ascent(double Background, double Contact, double LogLikelihood)
{
    private const int MostSteps = 60;
    private const double Settled = 1e-9;

    /// <param name="pressure">Σ kernel by sound plant.</param>
    /// <param name="fell">Whether it fell ill.</param>
    /// <param name="days">Time between the surveys.</param>
    /// <param name="evenHazard">Hazard that explains the count without any spread: where the climb starts from.</param>
    public static Ascent Climb(double[] pressure, bool[] fell, double days, double evenHazard)
    {
        double mean = Math.Max(pressure.Average(), 1e-12);
        (double e, double b) = (evenHazard / 2, evenHazard / 2 / mean);
        double value = Value(pressure, fell, days, e, b);
        for (int step = 0; step < MostSteps; step++)
        {
            (double ge, double gb, double hee, double heb, double hbb) = Slopes(pressure, fell, days, e, b);
            (double de, double db) = Direction(e, b, ge, gb, hee, heb, hbb);
            double length = 1;
            bool moved = false;
            for (int halving = 0; halving < 40 && !moved; halving++)
            {
                double nextE = Math.Max(0, e + (length * de));
                double nextB = Math.Max(0, b + (length * db));
                double next = Value(pressure, fell, days, nextE, nextB);
                if (next > value)
                {
                    moved = next > value + Settled;
                    (e, b, value) = (nextE, nextB, next);
                    break;
                }

                length /= 2;
            }

            if (!moved)
            {
                break;
            }
        }

        return new Ascent(e, b, value);
    }

    /// <summary>Newton's step; a hazard that stands at zero and would fall stays there.</summary>
    private static (double E, double B) Direction(
        double e,
        double b,
        double ge,
        double gb,
        double hee,
        double heb,
        double hbb
    )
    {
        bool fixE = e <= 0 && ge <= 0;
        bool fixB = b <= 0 && gb <= 0;
        double determinant = (hee * hbb) - (heb * heb);
        if (fixE || fixB || !(determinant > 0))
        {
            return (fixE || !(hee < 0) ? 0 : -ge / hee, fixB || !(hbb < 0) ? 0 : -gb / hbb);
        }

        return (-((hbb * ge) - (heb * gb)) / determinant, -((hee * gb) - (heb * ge)) / determinant);
    }

    private static double Value(double[] pressure, bool[] fell, double days, double e, double b)
    {
        double sum = 0;
        for (int at = 0; at < pressure.Length; at++)
        {
            double exposure = days * (e + (b * pressure[at]));
            sum += fell[at] ? Math.Log(-Expm1(-exposure)) : -exposure;
        }

        return sum;
    }

    private static (double E, double B, double Ee, double Eb, double Bb) Slopes(
        double[] pressure,
        bool[] fell,
        double days,
        double e,
        double b
    )
    {
        (double ge, double gb, double hee, double heb, double hbb) = (0d, 0d, 0d, 0d, 0d);
        for (int at = 0; at < pressure.Length; at++)
        {
            double s = pressure[at];
            double first = -days;
            double second = 0;
            if (fell[at])
            {
                double exposure = Math.Max(days * (e + (b * s)), 1e-12);
                double odds = 1 / -Expm1(-exposure) - 1;
                first = days * odds;
                second = -days * days * odds * (1 + odds);
            }

            ge += first;
            gb += first * s;
            hee += second;
            heb += second * s;
            hbb += second * s * s;
        }

        return (ge, gb, hee, heb, hbb);
    }

    /// <summary>eˣ − 1 without loss near zero.</summary>
    private static double Expm1(double x) => Math.Abs(x) < 1e-5 ? x + (x * x / 2) : Math.Exp(x) - 1;
}
