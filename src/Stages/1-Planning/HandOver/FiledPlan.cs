using System.Globalization;
using System.Text.Json;
using Hillrow.Earth;
using Hillrow.Numerics;

namespace Hillrow.Planning;

/// <summary>A plan as its plan.json tells it: what was asked, and every planned trigger.</summary>
/// <param name="Name">As the folder.</param>
/// <param name="Date">Day it was made for; null when the plan is for any day.</param>
/// <param name="CameraName">Name in the camera's profile.</param>
/// <param name="AircraftName">Name in the aircraft's profile.</param>
/// <param name="Frame">Local frame of the triggers' places.</param>
/// <param name="Asked">What the plan keeps.</param>
/// <param name="Sorties">In the order of flying.</param>
public sealed record FiledPlan(
    string Name,
    DateOnly? Date,
    string CameraName,
    string AircraftName,
    LocalFrame Frame,
    FiledWish Asked,
    IReadOnlyList<FiledSortie> Sorties
)
{
    private const long LargestBytes = 128L << 20;
    private const int MostTriggers = 200_000;

    public int CaptureCount => Sorties.Sum(sortie => sortie.Captures.Count);

    /// <exception cref="InputProblemException">Missing, too large, or no plan of this program.</exception>
    public static FiledPlan Load(string path)
    {
        try
        {
            FileInfo file = new(path);
            if (!file.Exists || file.Length > LargestBytes)
            {
                throw new InputProblemException(
                    path,
                    file.Exists ? "is too large for a plan." : "does not exist.",
                    "Plan again with `hillrow plan`."
                );
            }

            return Parse(File.ReadAllBytes(path), path);
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            throw new InputProblemException(path, "cannot be read.", "Check the file and its rights.", fault);
        }
    }

    /// <param name="json">UTF-8.</param>
    /// <param name="where">Names the file in messages.</param>
    /// <exception cref="InputProblemException">No plan of this program, or a number that cannot be.</exception>
    public static FiledPlan Parse(ReadOnlyMemory<byte> json, string where)
    {
        try
        {
            using JsonDocument document = JsonDocument.Parse(json, new JsonDocumentOptions { MaxDepth = 16 });
            return Read(document.RootElement);
        }
        catch (Exception fault)
            when (fault
                    is JsonException
                        or InvalidOperationException
                        or KeyNotFoundException
                        or FormatException
                        or OverflowException
                        or ArgumentException
            )
        {
            throw new InputProblemException(
                where,
                $"is no plan that can be used ({fault.Message.ReplaceLineEndings(" ").TrimEnd('.')}).",
                "Plan again with `hillrow plan`.",
                fault
            );
        }
    }

    private static FiledPlan Read(JsonElement root)
    {
        string schema = root.GetProperty("schema").GetString() ?? "";
        if (schema != PlanJson.Schema)
        {
            throw new FormatException($"its schema is \"{schema}\", not {PlanJson.Schema}");
        }

        JsonElement origin = root.GetProperty("frame");
        LocalFrame frame = new(
            GeographicPoint
                .FromDegrees(
                    Number(origin, "originLatitudeDegrees", -84, 84),
                    Number(origin, "originLongitudeDegrees", -180, 180)
                )
                .AtHeightAboveEllipsoid(Number(origin, "originHeightAboveEllipsoidMetres", -1000, 10_000))
        );
        JsonElement asked = root.GetProperty("asked");
        string? date = root.GetProperty("date").GetString();
        List<FiledSortie> sorties = [];
        int triggers = 0;
        foreach (JsonElement sortie in root.GetProperty("sorties").EnumerateArray())
        {
            FiledSortie read = new(
                sortie.GetProperty("number").GetInt32(),
                Number(sortie, "seconds", 0, 1e6),
                Number(sortie, "energyWattHours", 0, 1e6),
                [
                    .. sortie
                        .GetProperty("captures")
                        .EnumerateArray()
                        .Take(MostTriggers)
                        .Select(capture => new PlannedTrigger(
                            capture.GetProperty("number").GetInt32(),
                            Number(capture, "seconds", 0, 1e6),
                            new Vector3D(
                                Number(capture, "eastMetres", -1e6, 1e6),
                                Number(capture, "northMetres", -1e6, 1e6),
                                Number(capture, "upMetres", -1e5, 1e5)
                            ),
                            Number(capture, "yawDegrees", -720, 720),
                            capture.GetProperty("line").GetInt32()
                        )),
                ]
            );
            triggers += read.Captures.Count;
            sorties.Add(
                triggers < MostTriggers ? read : throw new FormatException("it has more captures than can be flown")
            );
        }

        return new FiledPlan(
            root.GetProperty("name").GetString() ?? "",
            date is null ? null : DateOnly.ParseExact(date, "yyyy-MM-dd", CultureInfo.InvariantCulture),
            root.GetProperty("camera").GetProperty("name").GetString() ?? "",
            root.GetProperty("aircraft").GetString() ?? "",
            frame,
            new FiledWish(
                Number(asked, "pixelMetres", 0, 100),
                Number(asked, "forwardOverlap", 0, 1),
                Number(asked, "sideOverlap", 0, 1),
                asked.GetProperty("views").GetInt32(),
                Number(asked, "heightMetres", 0, 10_000)
            ),
            sorties
        );
    }

    private static double Number(JsonElement parent, string key, double least, double most)
    {
        double value = parent.GetProperty(key).GetDouble();
        return value >= least && value <= most
            ? value
            : throw new FormatException(
                string.Create(CultureInfo.InvariantCulture, $"{key} is {value}, not from {least} to {most}")
            );
    }
}

/// <summary>What a plan was asked to keep.</summary>
/// <param name="PixelMetres">On the ground.</param>
/// <param name="ForwardOverlap">0 … 1.</param>
/// <param name="SideOverlap">0 … 1.</param>
/// <param name="Views">Captures that see every place.</param>
/// <param name="HeightMetres">Above the ground.</param>
public sealed record FiledWish(
    double PixelMetres,
    double ForwardOverlap,
    double SideOverlap,
    int Views,
    double HeightMetres
);

/// <summary>One planned take-off to landing.</summary>
public sealed record FiledSortie(
    int Number,
    double Seconds,
    double EnergyWattHours,
    IReadOnlyList<PlannedTrigger> Captures
);
