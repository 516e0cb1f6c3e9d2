using System.Text.Json;
using Hillrow.Checks;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Planning;
using Hillrow.Sight;
using Hillrow.TestSupport;

namespace Hillrow.Validation.Planning;

/// <summary>ANCHORS.md A1–A8 (A9 and A10 are the ground area's figures) and the textbook book of pixel and overlap, by what the planner uses.</summary>
public sealed class AnchorFigures : FigureSource
{
    public override string Area => "planning";

    public override int Order => 3;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        List<(string Id, bool Holds)> anchors = [.. PlanAnchors.All()];
        foreach ((string id, _) in anchors.Where(anchor => !anchor.Holds))
        {
            run.Say($"  {id} does not hold");
        }

        yield return new Figure(
            "anchors.shareHolding",
            anchors.Count(anchor => anchor.Holds) / (double)anchors.Count,
            $"{anchors.Count} values of ANCHORS.md A1-A8, among them the printed traps (1.296 px, not 4.7), through the planner's own reaches and speeds"
        );
        List<bool> book = [.. Book()];
        yield return new Figure(
            "checks.cameraGeometry.shareHolding",
            book.Count(holds => holds) / (double)book.Count,
            $"{book.Count} values of gsd_overlap.json at 1e-9, each by a plan's reach over level ground"
        );
    }

    private static IEnumerable<bool> Book()
    {
        using JsonDocument book = JsonDocument.Parse(
            File.ReadAllBytes(RepositoryFiles.Reference("camera-geometry", "gsd_overlap.json"))
        );
        foreach (JsonElement one in book.RootElement.GetProperty("cases").EnumerateArray())
        {
            JsonElement given = one.GetProperty("in");
            JsonElement wanted = one.GetProperty("out");
            if (!given.TryGetProperty("pixels_across", out JsonElement across))
            {
                continue;
            }

            double focal = given.GetProperty("focal_mm").GetDouble() * 1000 / given.GetProperty("pixel_um").GetDouble();
            int columns = across.GetInt32();
            int rows = given.GetProperty("pixels_along").GetInt32();
            double height = given.GetProperty("height_agl_m").GetDouble();
            (double width, double length) = PlanAnchors.LevelReach(columns, rows, focal, height);
            yield return Near(width, wanted, "footprint_across_m");
            yield return Near(length, wanted, "footprint_along_m");
            double ahead = (1 - given.GetProperty("forward_overlap").GetDouble()) * length;
            yield return Near(ahead, wanted, "base_m");
            yield return Near((1 - given.GetProperty("side_overlap").GetDouble()) * width, wanted, "line_spacing_m");
            yield return Near(ahead / given.GetProperty("speed_m_s").GetDouble(), wanted, "trigger_interval_s");
        }
    }

    private static bool Near(double value, JsonElement wanted, string name) =>
        !wanted.TryGetProperty(name, out JsonElement expected)
        || Math.Abs(value - expected.GetDouble()) <= 1e-9 * Math.Abs(expected.GetDouble());
}
