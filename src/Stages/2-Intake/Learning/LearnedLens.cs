using System.Globalization;
using System.Text;
using Hillrow.Imaging;

namespace Hillrow.Intake;

/// <summary>A picture that was looked at for a board.</summary>
/// <param name="File">As given.</param>
/// <param name="RmsPixels">Root mean square distance of its corners from where the lens puts them; null without a board, or left out.</param>
/// <param name="Why">Why it does not count; null when it does.</param>
public sealed record LensPicture(string File, double? RmsPixels, string? Why);

/// <summary>A lens learned from pictures of a chess board, and how sure it is.</summary>
public sealed record LearnedLens
{
    public required BrownConradyLens Lens { get; init; }

    /// <summary>Standard deviations, in the order of <see cref="Lens.Parameters"/>.</summary>
    public required IReadOnlyList<double> Sigmas { get; init; }

    /// <summary>Root mean square distance of a corner from where the lens puts it.</summary>
    public required double RmsPixels { get; init; }

    /// <summary>Farthest corner from the frame's middle, as a share of half its diagonal: beyond it the distortion is guessed.</summary>
    public required double ReachShare { get; init; }

    public required IReadOnlyList<LensPicture> Pictures { get; init; }

    /// <summary>What speaks against using it, each with what would mend it.</summary>
    public required IReadOnlyList<string> Doubts { get; init; }

    /// <summary>How many pictures count.</summary>
    public int Used => Pictures.Count(picture => picture.Why is null);

    /// <summary>The lens as it stands in a camera profile.</summary>
    public string ToToml()
    {
        static string Number(double value) => value.ToString("R", CultureInfo.InvariantCulture);
        static string About(double sigma) => sigma.ToString("0.0######", CultureInfo.InvariantCulture);
        BrownConradyValues values = Lens.Values;
        StringBuilder text = new();
        void Add(string key, string value, string sigma) => text.Append($"{key} = {value}   # ± {sigma}\n");
        text.Append(
            CultureInfo.InvariantCulture,
            $"# From {Used} pictures of a chess board, {Lens.Columns} × {Lens.Rows} pixels; corners lie {RmsPixels:0.000} px (rms) from it.\n"
        );
        text.Append("[bands.lens]\n");
        Add(
            "focalPixels",
            $"[{Number(values.FocalColumnsPixels)}, {Number(values.FocalRowsPixels)}]",
            About(Sigmas[0])
        );
        Add(
            "principalPointPixels",
            $"[{Number(values.PrincipalPoint.Column)}, {Number(values.PrincipalPoint.Row)}]",
            $"{About(Sigmas[2])}, {About(Sigmas[3])}"
        );
        Add("k1", Number(values.K1), About(Sigmas[4]));
        Add("k2", Number(values.K2), About(Sigmas[5]));
        Add("k3", Number(values.K3), About(Sigmas[8]));
        Add("p1", Number(values.P1), About(Sigmas[6]));
        Add("p2", Number(values.P2), About(Sigmas[7]));
        return text.ToString();
    }
}
