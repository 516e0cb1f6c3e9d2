namespace Hillrow.Planning;

/// <summary>A place and the way the nose points there, radians clockwise from local north.</summary>
internal readonly record struct Heading(PlanPoint Place, double AzimuthRadians);

/// <summary>Shortest way from one heading to another with turns no tighter than a radius: arcs and a straight piece.</summary>
/// <remarks>Source: L. E. Dubins 1957, American Journal of Mathematics 79:497, DOI 10.2307/2372560; formulas by A. M. Shkel and V. Lumelsky 2001, DOI 10.1016/S0921-8890(00)00127-5 (from memory), checked by end points in the tests.</remarks>
internal readonly struct SmoothTurn
{
    private readonly Heading start;
    private readonly double radius;
    private readonly Word word;
    private readonly double first;
    private readonly double middle;
    private readonly double last;

    private SmoothTurn(Heading start, double radius, Word word, double first, double middle, double last)
    {
        this.start = start;
        this.radius = radius;
        this.word = word;
        this.first = first;
        this.middle = middle;
        this.last = last;
    }

    private enum Word
    {
        Lsl,
        Rsr,
        Lsr,
        Rsl,
        Rlr,
        Lrl,
    }

    public double LengthMetres => (first + middle + last) * radius;

    public static SmoothTurn Between(Heading start, Heading end, double radiusMetres)
    {
        // Mathematical frame: angles counter-clockwise from east.
        double dx = end.Place.EastMetres - start.Place.EastMetres;
        double dy = end.Place.NorthMetres - start.Place.NorthMetres;
        double d = Math.Sqrt((dx * dx) + (dy * dy)) / radiusMetres;
        double theta = Math.Atan2(dy, dx);
        double a = Wrap((Math.PI / 2) - start.AzimuthRadians - theta);
        double b = Wrap((Math.PI / 2) - end.AzimuthRadians - theta);
        (double sa, double ca) = Math.SinCos(a);
        (double sb, double cb) = Math.SinCos(b);
        double cab = Math.Cos(a - b);
        SmoothTurn best = default;
        double least = double.PositiveInfinity;
        void Consider(Word word, double t, double p, double q)
        {
            double length = t + p + q;
            if (length < least)
            {
                least = length;
                best = new SmoothTurn(start, radiusMetres, word, t, p, q);
            }
        }

        double square = 2 + (d * d) - (2 * cab) + (2 * d * (sa - sb));
        if (square >= 0)
        {
            double turn = Math.Atan2(cb - ca, d + sa - sb);
            Consider(Word.Lsl, Wrap(turn - a), Math.Sqrt(square), Wrap(b - turn));
        }

        square = 2 + (d * d) - (2 * cab) + (2 * d * (sb - sa));
        if (square >= 0)
        {
            double turn = Math.Atan2(ca - cb, d - sa + sb);
            Consider(Word.Rsr, Wrap(a - turn), Math.Sqrt(square), Wrap(turn - b));
        }

        square = -2 + (d * d) + (2 * cab) + (2 * d * (sa + sb));
        if (square >= 0)
        {
            double p = Math.Sqrt(square);
            double turn = Math.Atan2(-ca - cb, d + sa + sb) - Math.Atan2(-2, p);
            Consider(Word.Lsr, Wrap(turn - a), p, Wrap(turn - b));
        }

        square = -2 + (d * d) + (2 * cab) - (2 * d * (sa + sb));
        if (square >= 0)
        {
            double p = Math.Sqrt(square);
            double turn = Math.Atan2(ca + cb, d - sa - sb) - Math.Atan2(2, p);
            Consider(Word.Rsl, Wrap(a - turn), p, Wrap(b - turn));
        }

        double cosine = (6 - (d * d) + (2 * cab) + (2 * d * (sa - sb))) / 8;
        if (Math.Abs(cosine) <= 1)
        {
            double p = Wrap(Math.Tau - Math.Acos(cosine));
            double t = Wrap(a - Math.Atan2(ca - cb, d - sa + sb) + (p / 2));
            Consider(Word.Rlr, t, p, Wrap(a - b - t + p));
        }

        cosine = (6 - (d * d) + (2 * cab) + (2 * d * (sb - sa))) / 8;
        if (Math.Abs(cosine) <= 1)
        {
            double p = Wrap(Math.Tau - Math.Acos(cosine));
            double t = Wrap(-a - Math.Atan2(ca - cb, d + sa - sb) + (p / 2));
            Consider(Word.Lrl, t, p, Wrap(b - a - t + p));
        }

        return best;
    }

    /// <summary>The place a distance along the way.</summary>
    public Heading At(double metres)
    {
        double left = Math.Clamp(metres / radius, 0, first + middle + last);
        double x = 0;
        double y = 0;
        double angle = (Math.PI / 2) - start.AzimuthRadians;
        (int turnFirst, int turnMiddle, int turnLast) = word switch
        {
            Word.Lsl => (1, 0, 1),
            Word.Rsr => (-1, 0, -1),
            Word.Lsr => (1, 0, -1),
            Word.Rsl => (-1, 0, 1),
            Word.Rlr => (-1, 1, -1),
            _ => (1, -1, 1),
        };
        Go(Math.Min(left, first), turnFirst, ref x, ref y, ref angle);
        Go(Math.Clamp(left - first, 0, middle), turnMiddle, ref x, ref y, ref angle);
        Go(Math.Clamp(left - first - middle, 0, last), turnLast, ref x, ref y, ref angle);
        return new Heading(
            new PlanPoint(start.Place.EastMetres + (x * radius), start.Place.NorthMetres + (y * radius)),
            (Math.PI / 2) - angle
        );
    }

    private static void Go(double length, int turn, ref double x, ref double y, ref double angle)
    {
        if (turn == 0)
        {
            x += length * Math.Cos(angle);
            y += length * Math.Sin(angle);
            return;
        }

        x += turn * (Math.Sin(angle + (turn * length)) - Math.Sin(angle));
        y -= turn * (Math.Cos(angle + (turn * length)) - Math.Cos(angle));
        angle += turn * length;
    }

    /// <summary>To [0, 2π); a hair below a full turn is none (an arc of 2π would circle for nothing).</summary>
    private static double Wrap(double angle)
    {
        double wrapped = angle - (Math.Tau * Math.Floor(angle / Math.Tau));
        return wrapped > Math.Tau - 1e-9 ? 0 : wrapped;
    }
}
