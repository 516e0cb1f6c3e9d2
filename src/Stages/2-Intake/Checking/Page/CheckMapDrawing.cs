using System.Globalization;
using System.Text;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Intake;

/// <summary>Draws how many captures see each place: blocks with their names, holes, scale bar, north, legend.</summary>
internal sealed class CheckMapDrawing(FieldCheckResult check, CheckTexts texts)
{
    private const double Width = 1000;
    private const double Margin = 14;
    private const double LegendHeight = 96;

    /// <summary>Cells drawn along a side; more make the page heavy and show nothing.</summary>
    private const int MostCells = 240;

    /// <summary>The most views that have a colour of their own.</summary>
    private const int MostViews = 10;

    /// <summary>Of ColorBrewer's RdYlBu, as no view must not pass for few.</summary>
    private const string NoView = "#a50026";

    private const string HoleColour = "#d7301f";

    private readonly LocalGrid grid = check.Map.Grid;

    private double Scale => (Width - (2 * Margin)) / (grid.Columns * grid.CellMetres);

    private double MapHeight => grid.Rows * grid.CellMetres * Scale;

    public string ToSvg()
    {
        double height = MapHeight + (2 * Margin) + LegendHeight;
        StringBuilder svg = new();
        svg.Append(
            CultureInfo.InvariantCulture,
            $"<svg viewBox=\"0 0 {Width} {height:0.#}\" role=\"img\" aria-label=\"{FieldCheckPage.Safe(texts["map"])}\"><defs><pattern id=\"hole\" width=\"10\" height=\"10\" patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(45)\"><path d=\"M0 0V10\" stroke=\"{HoleColour}\" stroke-width=\"3\"/></pattern></defs>"
        );
        Cells(svg);
        foreach (CheckBlock block in check.Map.Outlines)
        {
            svg.Append("<path fill=\"none\" stroke=\"#000\" stroke-width=\"2.5\" d=\"");
            foreach (IReadOnlyList<(double East, double North)> ring in block.RingsLocalMetres)
            {
                Ring(svg, ring.Select(at => new LocalPlace(at.East, at.North)));
            }

            svg.Append("\"/>");
        }

        foreach (CoverageHole hole in check.Holes)
        {
            svg.Append(
                CultureInfo.InvariantCulture,
                $"<path fill=\"url(#hole)\" stroke=\"{HoleColour}\" stroke-width=\"4\" d=\""
            );
            Ring(svg, hole.RingLocalMetres);
            svg.Append("\"/>");
        }

        foreach (CheckBlock block in check.Map.Outlines)
        {
            Name(svg, block);
        }

        Legend(svg, MapHeight + (2 * Margin));
        return svg.Append("</svg>").ToString();
    }

    private static string Colour(int views)
    {
        if (views == 0)
        {
            return NoView;
        }

        (byte red, byte green, byte blue) = ColourRamp.Cividis.At((Math.Min(views, MostViews) - 1) / (MostViews - 1.0));
        return $"#{red:x2}{green:x2}{blue:x2}";
    }

    /// <summary>Runs of cells of one colour, coarser where there are very many.</summary>
    private void Cells(StringBuilder svg)
    {
        int step = Math.Max(1, (Math.Max(grid.Rows, grid.Columns) + MostCells - 1) / MostCells);
        int Views(int row, int column) => Math.Min(MostViews, check.Map.Views[(row * grid.Columns) + column]);
        double cell = grid.CellMetres * Scale;
        svg.Append("<g shape-rendering=\"crispEdges\">");
        for (int row = 0; row < grid.Rows; row += step)
        {
            for (int column = 0; column < grid.Columns; )
            {
                int views = Views(row, column);
                int end = column + step;
                while (end < grid.Columns && Views(row, end) == views)
                {
                    end += step;
                }

                if (views >= 0)
                {
                    svg.Append(
                        CultureInfo.InvariantCulture,
                        $"<rect x=\"{Margin + (column * cell):0.##}\" y=\"{Margin + (row * cell):0.##}\" width=\"{(Math.Min(end, grid.Columns) - column) * cell:0.##}\" height=\"{Math.Min(step, grid.Rows - row) * cell:0.##}\" fill=\"{Colour(views)}\"/>"
                    );
                }

                column = end;
            }
        }

        svg.Append("</g>");
    }

    private double X(double east) => Margin + ((east - grid.WestMetres) * Scale);

    private double Y(double north) => Margin + ((grid.NorthMetres - north) * Scale);

    private void Ring(StringBuilder svg, IEnumerable<LocalPlace> ring)
    {
        char letter = 'M';
        foreach ((double east, double north) in ring)
        {
            svg.Append(CultureInfo.InvariantCulture, $"{letter}{X(east):0.#} {Y(north):0.#}");
            letter = 'L';
        }

        svg.Append('Z');
    }

    /// <summary>At the middle of the block's first outline.</summary>
    private void Name(StringBuilder svg, CheckBlock block)
    {
        if (block.RingsLocalMetres.Count == 0 || block.RingsLocalMetres[0].Count == 0)
        {
            return;
        }

        IReadOnlyList<(double East, double North)> ring = block.RingsLocalMetres[0];
        double east = (ring.Min(at => at.East) + ring.Max(at => at.East)) / 2;
        double north = (ring.Min(at => at.North) + ring.Max(at => at.North)) / 2;
        svg.Append(
            CultureInfo.InvariantCulture,
            $"<text x=\"{X(east):0.#}\" y=\"{Y(north):0.#}\" font-size=\"24\" font-weight=\"bold\" text-anchor=\"middle\" stroke=\"#fff\" stroke-width=\"5\" paint-order=\"stroke\">{FieldCheckPage.Safe(block.Name)}</text>"
        );
    }

    private void Legend(StringBuilder svg, double top)
    {
        double metres = RoundLength.Within(grid.Columns * grid.CellMetres, 0.25);
        double length = metres * Scale;
        svg.Append(
            CultureInfo.InvariantCulture,
            $"<g transform=\"translate({Margin} {top + 18:0.#})\"><path d=\"M0 -12V0H{length:0.#}V-12\" fill=\"none\" stroke=\"#000\" stroke-width=\"3\"/><text x=\"{length + 10:0.#}\" font-size=\"22\">{metres} m</text></g>"
        );
        if (check.Holes.Count > 0)
        {
            svg.Append(
                CultureInfo.InvariantCulture,
                $"<g transform=\"translate({Width / 2} {top:0.#})\"><rect width=\"30\" height=\"20\" fill=\"url(#hole)\" stroke=\"{HoleColour}\" stroke-width=\"3\"/><text x=\"40\" y=\"18\" font-size=\"22\">{FieldCheckPage.Safe(texts["map.hole"])}</text></g>"
            );
        }

        svg.Append(
            CultureInfo.InvariantCulture,
            $"<g transform=\"translate({Width - 34} {top + 6:0.#})\"><path d=\"M0 0L13 40L0 31L-13 40Z\" fill=\"#fff\" stroke=\"#000\" stroke-width=\"2\"/><text y=\"62\" font-size=\"22\" font-weight=\"bold\" text-anchor=\"middle\" stroke=\"#fff\" stroke-width=\"4\" paint-order=\"stroke\">{FieldCheckPage.Safe(texts["north"])}</text></g>"
        );
        const double box = 62;
        for (int views = 0; views <= MostViews; views++)
        {
            string plus = views == MostViews ? "+" : "";
            svg.Append(
                CultureInfo.InvariantCulture,
                $"<g transform=\"translate({Margin + (views * box)} {top + 36:0.#})\"><rect width=\"{box}\" height=\"22\" fill=\"{Colour(views)}\"/><text x=\"{box / 2}\" y=\"46\" font-size=\"22\" text-anchor=\"middle\">{views}{plus}</text></g>"
            );
        }

        svg.Append(
            CultureInfo.InvariantCulture,
            $"<text x=\"{Margin + (box * (MostViews + 1)) + 10}\" y=\"{top + 54:0.#}\" font-size=\"22\">{FieldCheckPage.Safe(texts["map.views"])}</text>"
        );
    }
}
