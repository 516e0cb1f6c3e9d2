using System.CommandLine;
using System.Globalization;
using Hillrow.Earth;
using Hillrow.Estate;
using Hillrow.Numerics;
using Hillrow.Planning;
using Hillrow.Sheets;

namespace Hillrow.App.Commands;

/// <summary>What can be asked of a plan on the command line.</summary>
internal sealed class PlanOptions
{
    private readonly Argument<string> folder = Given.Estate();
    private readonly Option<string[]> blocks = new("--block")
    {
        Description = "A block to fly over, once for each; all when not said.",
        HelpName = "NAME",
    };
    private readonly Option<string[]> homes = new("--home")
    {
        Description = "Where the aircraft takes off, once for each place.",
        HelpName = "LATITUDE,LONGITUDE",
    };
    private readonly Option<string?> pixel = Given.Text("--pixel", "Pixel on the ground; 5 when not said.", "CM");
    private readonly Option<string?> forward = Given.Text("--forward", "Forward overlap; 80 when not said.", "PERCENT");
    private readonly Option<string?> side = Given.Text("--side", "Side overlap; 70 when not said.", "PERCENT");
    private readonly Option<string?> direction = Given.Text(
        "--direction",
        "Of the lines: quickest (when not said), contour, or degrees from north.",
        "WORD"
    );
    private readonly Option<string?> wind = Given.Text(
        "--wind",
        "Strongest wind expected, and where from: 5,270 is 5 m/s from the west.",
        "M/S,DEGREES"
    );
    private readonly Option<string?> canopy = Given.Text("--canopy", "Highest crop; 3 when not said.", "METRES");
    private readonly Option<string?> clearance = Given.Text(
        "--clearance",
        "Least height over everything, errors allowed for; 15 when not said.",
        "METRES"
    );
    private readonly Option<string?> date = Given.Text("--date", "Day of the flight, for the light.", "YYYY-MM-DD");
    private readonly Option<string?> targets = Given.Text(
        "--targets",
        "Fly over these polygons instead of blocks: patches, holes to fly again, a drawn area.",
        "FILE"
    );
    private readonly Option<string?> targetMargin = Given.Text(
        "--target-margin",
        "Widens the targets; 5 when not said.",
        "METRES"
    );
    private readonly Option<string?> surface = Given.Text(
        "--surface",
        "A finer ground than the terrain tiles, as an earlier survey made it (GeoTIFF).",
        "FILE"
    );
    private readonly Option<string?> surfaceSigma = Given.Text(
        "--surface-sigma",
        "Standard error of its heights; 0.5 when not said.",
        "METRES"
    );
    private readonly Option<string?> site = Given.Text(
        "--site",
        "Homes, no-fly areas, obstacles and tracks (GeoJSON); flights/site.geojson when not said.",
        "FILE"
    );
    private readonly Option<string?> aircraft = Given.Text("--aircraft", "Aircraft profile (TOML).", "FILE");
    private readonly Option<string?> camera = Given.Text("--camera", "Camera profile.", "NAME");
    private readonly Option<string?> band = Given.Text(
        "--band",
        "Band whose pixel and picture rule, such as thermal; the reference band when not said.",
        "NAME"
    );
    private readonly Option<string?> name = Given.Text("--name", "Name of the plan; its date when not said.", "WORD");
    private readonly Option<string?> paper = Given.Text(
        "--paper",
        "Of the printed flight card: a4 or letter; a4 if not said.",
        "SIZE"
    );
    private readonly Option<bool> leaveOut = new("--leave-out-unseen")
    {
        Description = "Leave out what no home sees, instead of refusing.",
    };

    public void AddTo(Command command)
    {
        command.Arguments.Add(folder);
        foreach (
            Option option in new Option[]
            {
                blocks,
                homes,
                pixel,
                forward,
                side,
                direction,
                wind,
                canopy,
                clearance,
                date,
                targets,
                targetMargin,
                surface,
                surfaceSigma,
                site,
                aircraft,
                camera,
                band,
                name,
                paper,
                leaveOut,
            }
        )
        {
            command.Options.Add(option);
        }
    }

    public string EstateOf(ParseResult parsed) => parsed.GetRequiredValue(folder);

    public string NameOf(ParseResult parsed, PlanningSettings settings) =>
        parsed.GetValue(name) ?? settings.Date?.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture) ?? "plan";

    public Paper PaperOf(ParseResult parsed) =>
        Given.OneOf("--paper", parsed.GetValue(paper) ?? Paper.A4.Name, Paper.All.ToDictionary(one => one.Name));

    public PlanWishes Wishes(ParseResult parsed)
    {
        PlanWishes plain = new();
        return plain with
        {
            Blocks = parsed.GetValue(blocks) ?? [],
            Homes =
            [
                .. (parsed.GetValue(homes) ?? [])
                    .Select(text => Given.Place("--home", text))
                    .Select(place => GeographicPoint.FromDegrees(place.Latitude, place.Longitude)),
            ],
            TargetsFile = parsed.GetValue(targets),
            TargetMarginMetres =
                Given.Number("--target-margin", parsed.GetValue(targetMargin)) ?? plain.TargetMarginMetres,
            SiteFile = parsed.GetValue(site),
            AircraftFile = parsed.GetValue(aircraft),
            Camera = parsed.GetValue(camera),
            Band = parsed.GetValue(band),
            SurfaceFile = parsed.GetValue(surface),
            SurfaceSigmaMetres =
                Given.Number("--surface-sigma", parsed.GetValue(surfaceSigma)) ?? plain.SurfaceSigmaMetres,
        };
    }

    public PlanningSettings Settings(ParseResult parsed, EstateLimits limits)
    {
        PlanningSettings plain = new();
        (LineDirection kind, double degrees) = Direction(parsed.GetValue(direction));
        return plain with
        {
            PixelMetres = Given.Number("--pixel", parsed.GetValue(pixel)) / 100 ?? plain.PixelMetres,
            ForwardOverlap = Given.Number("--forward", parsed.GetValue(forward)) / 100 ?? plain.ForwardOverlap,
            SideOverlap = Given.Number("--side", parsed.GetValue(side)) / 100 ?? plain.SideOverlap,
            CanopyMetres = Given.Number("--canopy", parsed.GetValue(canopy)) ?? plain.CanopyMetres,
            ClearanceMetres = Given.Number("--clearance", parsed.GetValue(clearance)) ?? plain.ClearanceMetres,
            Wind = Wind(parsed.GetValue(wind)),
            Direction = kind,
            DirectionDegrees = degrees,
            Date = Given.Day("--date", parsed.GetValue(date)),
            CeilingMetres = limits.HeightAboveGroundMetres,
            LineOfSightMetres = limits.LineOfSightMetres,
            RefuseUnseen = !parsed.GetValue(leaveOut),
        };
    }

    private static (LineDirection Kind, double Degrees) Direction(string? text) =>
        text switch
        {
            null or "quickest" => (LineDirection.Quickest, 0),
            "contour" => (LineDirection.Contour, 0),
            _ when double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out double degrees) => (
                LineDirection.Given,
                degrees
            ),
            _ => throw new InputProblemException(
                "--direction",
                $"does not know \"{text}\".",
                "Say quickest, contour, or degrees clockwise from north."
            ),
        };

    private static Wind Wind(string? text)
    {
        if (text is null)
        {
            return default;
        }

        string[] parts = text.Split(',');
        return
            parts.Length == 2
            && double.TryParse(parts[0], NumberStyles.Float, CultureInfo.InvariantCulture, out double speed)
            && double.TryParse(parts[1], NumberStyles.Float, CultureInfo.InvariantCulture, out double from)
            ? new Wind(speed, from)
            : throw new InputProblemException(
                "--wind",
                $"\"{text}\" is no wind.",
                "Write metres a second and degrees it comes from: 5,270."
            );
    }
}
