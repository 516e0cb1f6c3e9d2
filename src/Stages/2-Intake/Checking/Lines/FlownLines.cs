using Hillrow.Numerics;

namespace Hillrow.Intake;

/// <summary>One counted capture over the ground.</summary>
/// <param name="Sortie">Name.</param>
/// <param name="Seconds">Since any moment; rising within a sortie.</param>
/// <param name="Place">In the check's local frame, metres.</param>
/// <param name="NoseAzimuthRadians">Where the top of the picture points, clockwise from north.</param>
/// <param name="LengthMetres">Of the frame on level ground below, along the nose.</param>
/// <param name="WidthMetres">Across.</param>
internal readonly record struct LineCapture(
    string Sortie,
    double Seconds,
    Vector3D Place,
    double NoseAzimuthRadians,
    double LengthMetres,
    double WidthMetres
)
{
    /// <summary>Length of the frame's chord through its middle in a direction.</summary>
    /// <param name="azimuthRadians">Clockwise from north.</param>
    public double Chord(double azimuthRadians)
    {
        double turn = azimuthRadians - NoseAzimuthRadians;
        return Math.Min(
            LengthMetres / Math.Max(1e-9, Math.Abs(Math.Cos(turn))),
            WidthMetres / Math.Max(1e-9, Math.Abs(Math.Sin(turn)))
        );
    }
}

/// <summary>Captures of one straight pass, in the order of flying.</summary>
internal sealed record CaptureLine(IReadOnlyList<LineCapture> Captures)
{
    private Vector3D Span => Captures[^1].Place - Captures[0].Place;

    public double LengthMetres => Math.Sqrt((Span.X * Span.X) + (Span.Y * Span.Y));

    /// <summary>Clockwise from north.</summary>
    public double AzimuthRadians => Math.Atan2(Span.X, Span.Y);
}

/// <summary>Finds straight passes in a flight, from the captures' places alone.</summary>
internal static class FlownLines
{
    /// <summary>Two captures make no line, and turns leave a few that point anywhere.</summary>
    private const int FewestCaptures = 4;

    /// <summary>A capture or two left out do not end a line.</summary>
    private const double LongestGap = 4;

    /// <summary>Receivers without corrections wander by metres from one capture to the next.</summary>
    private const double TurnRadians = 45 * Math.PI / 180;

    /// <param name="captures">In the order of triggering.</param>
    public static IReadOnlyList<CaptureLine> Find(IReadOnlyList<LineCapture> captures)
    {
        double[] gaps =
        [
            .. captures
                .Zip(captures.Skip(1))
                .Where(pair => pair.First.Sortie == pair.Second.Sortie)
                .Select(pair => pair.Second.Seconds - pair.First.Seconds)
                .Where(gap => gap > 0)
                .Order(),
        ];
        if (gaps.Length == 0)
        {
            return [];
        }

        double longest = LongestGap * gaps[gaps.Length / 2];
        List<CaptureLine> lines = [];
        List<LineCapture> current = [];
        void Close()
        {
            if (current.Count >= FewestCaptures)
            {
                lines.Add(new CaptureLine([.. current]));
            }

            current = [];
        }

        foreach (LineCapture capture in captures)
        {
            if (
                current.Count > 0
                && (
                    current[^1].Sortie != capture.Sortie
                    || capture.Seconds - current[^1].Seconds > longest
                    || (current.Count > 1 && Turns(current, capture))
                )
            )
            {
                Close();
            }

            current.Add(capture);
        }

        Close();
        return lines;
    }

    private static bool Turns(List<LineCapture> line, LineCapture next)
    {
        // From a few captures back: one step alone wanders too much.
        Vector3D way = line[^1].Place - line[Math.Max(0, line.Count - FewestCaptures)].Place;
        Vector3D step = next.Place - line[^1].Place;
        double between = Math.Atan2((way.X * step.Y) - (way.Y * step.X), (way.X * step.X) + (way.Y * step.Y));
        return Math.Abs(between) > TurnRadians;
    }
}
