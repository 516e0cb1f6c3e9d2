using System.Globalization;
using System.Text;

namespace Hillrow.Planning;

/// <summary>Drawings of the flight card as SVG: the map of a sortie, and the profile along it.</summary>
internal static class CardDrawing
{
    private const double Width = 700;
    private const double ProfileHeight = 170;

    /// <summary>North up: blocks, no-fly areas, obstacles, route, home, marks.</summary>
    public static string Map(PlanningResult plan, Sortie sortie)
    {
        IEnumerable<PlanPoint> all = plan
            .Input.Blocks.SelectMany(block => block.Parts)
            .SelectMany(part => part.Outer)
            .Concat(sortie.Route.Select(sample => sample.Place))
            .Append(sortie.Home.Place);
        double west = all.Min(place => place.EastMetres) - 20;
        double east = all.Max(place => place.EastMetres) + 20;
        double south = all.Min(place => place.NorthMetres) - 20;
        double north = all.Max(place => place.NorthMetres) + 20;
        double scale = Math.Min(Width / (east - west), 460 / (north - south));
        double height = (north - south) * scale;
        string At(PlanPoint place) =>
            Text($"{(place.EastMetres - west) * scale:0.0},{(north - place.NorthMetres) * scale:0.0}");
        StringBuilder svg = new();
        svg.Append(Text($"<svg viewBox=\"0 0 {(east - west) * scale:0} {height:0}\" role=\"img\" aria-label=\"map\">"));
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
        double bar = NiceLength(120 / scale);
        svg.Append(
            Text(
                $"<path class=\"bar\" d=\"M10 {height - 12:0}h{bar * scale:0.0}\"/><text x=\"10\" y=\"{height - 18:0}\">{bar:0} m</text>"
            )
        );
        return svg.Append("</svg>").ToString();
    }

    /// <summary>Along the route: ground, and the aircraft, against the height of home.</summary>
    public static string Profile(PlanningResult plan, Sortie sortie)
    {
        IReadOnlyList<RouteSample> route = sortie.Route;
        double[] along = new double[route.Count];
        for (int at = 1; at < route.Count; at++)
        {
            along[at] = along[at - 1] + route[at - 1].Place.DistanceTo(route[at].Place);
        }

        double[] ground =
        [
            .. route.Select(sample =>
                plan.Input.Terrain.HeightAt(sample.Place.EastMetres, sample.Place.NorthMetres) - sortie.HomeUpMetres
            ),
        ];
        double[] up = [.. route.Select(sample => sample.UpMetres - sortie.HomeUpMetres)];
        double low = Math.Min(0, ground.Min());
        double high = up.Max();
        double total = Math.Max(1, along[^1]);
        string At(int at, double height) =>
            Text(
                $"{40 + (along[at] / total * (Width - 50)):0.0},{ProfileHeight - 20 - ((height - low) / Math.Max(1, high - low) * (ProfileHeight - 40)):0.0}"
            );
        int every = Math.Max(1, route.Count / 900);
        int[] shown = [.. Enumerable.Range(0, route.Count).Where(at => at % every == 0 || at == route.Count - 1)];
        string floor = Text($"{Width - 10:0},{ProfileHeight - 20:0} 40,{ProfileHeight - 20:0}");
        StringBuilder svg = new();
        svg.Append(Text($"<svg viewBox=\"0 0 {Width:0} {ProfileHeight:0}\" role=\"img\" aria-label=\"profile\">"));
        svg.Append(
            $"<polygon class=\"ground\" points=\"{string.Join(' ', shown.Select(at => At(at, ground[at])))} {floor}\"/>"
        );
        svg.Append($"<polyline class=\"route\" points=\"{string.Join(' ', shown.Select(at => At(at, up[at])))}\"/>");
        svg.Append(
            Text(
                $"<text x=\"0\" y=\"24\">{high:0} m</text><text x=\"0\" y=\"{ProfileHeight - 20:0}\">{low:0} m</text><text x=\"{Width - 70:0}\" y=\"{ProfileHeight - 4:0}\">{total / 1000:0.0} km</text>"
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

    private static double NiceLength(double metres)
    {
        double power = Math.Pow(10, Math.Floor(Math.Log10(metres)));
        double lead = metres / power;
        return power
            * (
                lead >= 5 ? 5
                : lead >= 2 ? 2
                : 1
            );
    }
}
