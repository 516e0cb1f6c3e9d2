using System.Globalization;
using System.Text;

namespace Hillrow.Planning;

/// <summary>Drawings of the flight card as SVG: the map of a sortie, and the profile along it.</summary>
internal static class CardDrawing
{
    private const double Width = 700;
    private const double MapHeight = 460;
    private const double ProfileHeight = 170;

    /// <summary>North up: blocks, no-fly areas, obstacles, route, home, marks.</summary>
    public static string Map(PlanningResult plan, Sortie sortie)
    {
        CardView view = CardView.Of(plan, sortie, Width, MapHeight);
        string At(PlanPoint place) => Text($"{view.X(place):0.0},{view.Y(place):0.0}");
        StringBuilder svg = new();
        svg.Append(Text($"<svg viewBox=\"0 0 {view.Width:0} {view.Height:0}\" role=\"img\" aria-label=\"map\">"));
        foreach (PlanBlock block in plan.Input.Blocks)
        {
            foreach (PlanPolygon part in block.Parts)
            {
                string path = string.Concat(part.Rings.Select(ring => $"M{string.Join(' ', ring.Select(At))}Z"));
                svg.Append($"<path class=\"block\" d=\"{path}\"/>");
            }

            PlanPoint middle = block.Parts[0].Centroid;
            string[] xy = At(middle).Split(',');
            svg.Append($"<text x=\"{xy[0]}\" y=\"{xy[1]}\">{Safe(block.Name)}</text>");
        }

        foreach (NoFlyArea area in plan.Input.NoFly)
        {
            svg.Append($"<polygon class=\"nofly\" points=\"{string.Join(' ', area.Outline.Outer.Select(At))}\"/>");
        }

        foreach (Obstacle obstacle in plan.Input.Obstacles)
        {
            svg.Append(
                obstacle.Points.Count == 1
                    ? Circle(At(obstacle.Points[0]), "obstacle", 4)
                    : $"<polyline class=\"obstacle\" points=\"{string.Join(' ', obstacle.Points.Select(At))}\"/>"
            );
        }

        svg.Append(
            $"<polyline class=\"route\" points=\"{string.Join(' ', sortie.Route.Select(sample => At(sample.Place)))}\"/>"
        );
        foreach (SortieLine line in sortie.Lines)
        {
            svg.Append($"<polyline class=\"line\" points=\"{At(line.From)} {At(line.To)}\"/>");
        }

        foreach (ProposedMark mark in plan.Marks)
        {
            svg.Append(Circle(At(mark.Place), mark.IsCheckpoint ? "check" : "control", 3.5));
        }

        svg.Append(Circle(At(sortie.Home.Place), "home", 6));
        double bar = view.BarMetres(120);
        svg.Append(
            Text(
                $"<path class=\"bar\" d=\"M10 {view.Height - 12:0}h{bar * view.Scale:0.0}\"/><text x=\"10\" y=\"{view.Height - 18:0}\">{bar:0} m</text>"
            )
        );
        return svg.Append("</svg>").ToString();
    }

    /// <summary>Along the route: ground, and the aircraft, against the height of home.</summary>
    public static string Profile(PlanningResult plan, Sortie sortie)
    {
        CardProfile profile = CardProfile.Of(plan, sortie);
        string At(int at, double height) =>
            Text(
                $"{40 + (profile.Along(at) * (Width - 50)):0.0},{ProfileHeight - 20 - (profile.Share(height) * (ProfileHeight - 40)):0.0}"
            );
        IReadOnlyList<int> shown = profile.Shown;
        string floor = Text($"{Width - 10:0},{ProfileHeight - 20:0} 40,{ProfileHeight - 20:0}");
        StringBuilder svg = new();
        svg.Append(Text($"<svg viewBox=\"0 0 {Width:0} {ProfileHeight:0}\" role=\"img\" aria-label=\"profile\">"));
        svg.Append(
            $"<polygon class=\"ground\" points=\"{string.Join(' ', shown.Select(at => At(at, profile.GroundMetres[at])))} {floor}\"/>"
        );
        svg.Append(
            $"<polyline class=\"route\" points=\"{string.Join(' ', shown.Select(at => At(at, profile.UpMetres[at])))}\"/>"
        );
        svg.Append(
            Text(
                $"<text x=\"0\" y=\"24\">{profile.HighMetres:0} m</text><text x=\"0\" y=\"{ProfileHeight - 20:0}\">{profile.LowMetres:0} m</text><text x=\"{Width - 70:0}\" y=\"{ProfileHeight - 4:0}\">{profile.LengthMetres / 1000:0.0} km</text>"
            )
        );
        return svg.Append("</svg>").ToString();
    }

    /// <summary>Text that a web page shows as it is.</summary>
    public static string Safe(string text) =>
        text.Replace("&", "&amp;", StringComparison.Ordinal)
            .Replace("<", "&lt;", StringComparison.Ordinal)
            .Replace(">", "&gt;", StringComparison.Ordinal)
            .Replace("\"", "&quot;", StringComparison.Ordinal);

    internal static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);

    private static string Circle(string at, string kind, double radius)
    {
        string[] xy = at.Split(',');
        return Text($"<circle class=\"{kind}\" cx=\"{xy[0]}\" cy=\"{xy[1]}\" r=\"{radius}\"/>");
    }
}
