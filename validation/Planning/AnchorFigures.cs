using System.Text.Json;
using Hillrow.Checks;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Planning;
using Hillrow.Sight;
using Hillrow.TestSupport;

namespace Hillrow.Validation.Planning;

/// <summary>ANCHORS.md A1–A10 and the textbook book of pixel and overlap, by what the planner uses.</summary>
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
            $"{anchors.Count} values of ANCHORS.md A1-A10, among them the printed traps (1.296 px, not 4.7), through the planner's own reaches and speeds"
        );
        List<bool> book = [.. Book()];
        (int footprints, int corners, double worst) = FootprintOnSlope();
        book.AddRange(Enumerable.Range(0, corners).Select(at => at < footprints));
        yield return new Figure(
            "checks.cameraGeometry.shareHolding",
            book.Count(holds => holds) / (double)book.Count,
            FormattableString.Invariant(
                $"{book.Count} values: gsd_overlap.json at 1e-9, each by a plan's reach over level ground; {corners} corners of footprint_on_slope.json by the ray casts that count a plan's views (worst {1000 * worst:0.###} mm, asked 1 mm)"
            )
        );
    }

    /// <summary>Corners of tilted pictures on slopes by the ray casts that count what a plan sees.</summary>
    private static (int Holding, int Values, double WorstMetres) FootprintOnSlope()
    {
        // A plane in single precision on 300 m: hundredths of a millimetre.
        const double Tolerance = 1e-3;
        CheckBook book = CheckBook.Open("camera-geometry", "footprint_on_slope.json");
        Dictionary<string, JsonElement> cameras = book
            .Common.GetProperty("cameras")
            .EnumerateArray()
            .ToDictionary(camera => camera.GetProperty("name").GetString()!);
        int holding = 0;
        int values = 0;
        double worst = 0;
        foreach (CheckCase check in book.Cases)
        {
            double In(string name) => check.In.GetProperty(name).GetDouble();
            double fall = Math.Tan(In("slope_deg") * Math.PI / 180);
            (double sine, double cosine) = Math.SinCos(In("aspect_deg") * Math.PI / 180);
            HeightField plane = PlanScene.Ground(400, 10, (east, north) => -fall * ((east * sine) + (north * cosine)));
            CameraPose pose = CameraPose.FromAttitude(
                new Vector3D(0, 0, In("height_above_plane_origin_m")),
                Attitude.FromDegrees(In("yaw_deg"), In("pitch_deg"), In("roll_deg"))
            );
            JsonElement camera = cameras[check.Whole.GetProperty("camera").GetString()!];
            double Of(string name) => camera.GetProperty(name).GetDouble();
            double columns = camera.GetProperty("size")[0].GetDouble();
            double rows = camera.GetProperty("size")[1].GetDouble();
            // The book's first pixel centre is (0, 0); outer edges lie half a pixel beyond.
            (double Column, double Row)[] corners =
            [
                (-0.5, -0.5),
                (columns - 0.5, -0.5),
                (columns - 0.5, rows - 0.5),
                (-0.5, rows - 0.5),
            ];
            for (int at = 0; at < corners.Length; at++)
            {
                Vector3D ray = pose.ToLocalDirection(
                    new Vector3D((corners[at].Column - Of("cx")) / Of("fx"), (corners[at].Row - Of("cy")) / Of("fy"), 1)
                );
                JsonElement wanted = check.Out.GetProperty("corners_enu")[at];
                bool hit = plane.TryHit(pose.CentreLocalMetres, ray, 0, 10_000, out double distance);
                Vector3D got = pose.CentreLocalMetres + (distance * ray);
                double off = hit
                    ? (got - new Vector3D(wanted[0].GetDouble(), wanted[1].GetDouble(), wanted[2].GetDouble())).Length
                    : double.PositiveInfinity;
                worst = Math.Max(worst, off);
                values++;
                holding += off <= Tolerance ? 1 : 0;
            }
        }

        return (holding, values, worst);
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
