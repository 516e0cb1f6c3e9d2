using Hillrow.Numerics;
using Tomlyn;
using Tomlyn.Model;

namespace Hillrow.Imaging;

/// <summary>What a camera is: its bands and lenses, its irradiance sensor and panel, and where its metadata live.</summary>
/// <remarks>Kept as a TOML file in the estate's cameras folder; every setting is told in docs/camera-profiles.md.</remarks>
public sealed record CameraProfile
{
    public required string Name { get; init; }

    public string Note { get; init; } = "";

    /// <summary>In file order; names are unique.</summary>
    public required IReadOnlyList<CameraBand> Bands { get; init; }

    /// <summary>Name of the band whose camera frame the mounts, the antenna and the poses refer to.</summary>
    public required string ReferenceBandName { get; init; }

    /// <summary>Shortest time between two triggers.</summary>
    public required double ShortestTriggerIntervalSeconds { get; init; }

    /// <summary>From the reference band's lens to the positioning antenna, in its camera frame (x right, y down, z forward).</summary>
    public Vector3D AntennaFromLensMetres { get; init; }

    public IrradianceSensor? IrradianceSensor { get; init; }

    public PanelDescription? Panel { get; init; }

    /// <summary>Where the camera's files keep each recorded quantity.</summary>
    public MetadataMap Metadata { get; init; } = MetadataMap.Standard;

    public CameraBand ReferenceBand => Band(ReferenceBandName);

    public IEnumerable<CameraBand> ReflectiveBands => Bands.Where(band => band.Kind == BandKind.Reflective);

    /// <summary>True when every picture holds all bands, as colour pictures do: such colours are not reflectance.</summary>
    public bool IsColour => Bands.Count > 1 && Bands.All(band => band.Plane is not null);

    public CameraBand? ThermalBand => Bands.FirstOrDefault(band => band.Kind == BandKind.Thermal);

    /// <exception cref="KeyNotFoundException">No band has that name.</exception>
    public CameraBand Band(string name) =>
        Bands.FirstOrDefault(band => band.Name == name)
        ?? throw new KeyNotFoundException(
            $"The camera {Name} has no band {name}; it has {string.Join(", ", Bands.Select(band => band.Name))}."
        );

    /// <exception cref="InputProblemException">The file cannot be read, or its settings are at fault: all problems are told at once.</exception>
    public static CameraProfile Load(string path)
    {
        string text;
        try
        {
            if (new FileInfo(path).Length > LargestFileBytes)
            {
                throw new InputProblemException(
                    path,
                    $"is larger than {LargestFileBytes / (1024 * 1024)} MiB, which no camera profile is.",
                    "Name a camera profile (TOML)."
                );
            }

            text = File.ReadAllText(path);
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            throw new InputProblemException(
                path,
                "the camera profile cannot be read.",
                "Check that the file is there and may be read.",
                fault
            );
        }

        return Parse(text, path);
    }

    /// <param name="toml">Text of a profile.</param>
    /// <param name="where">Names the file in messages.</param>
    /// <exception cref="InputProblemException">Not TOML, or settings at fault: all problems are told at once.</exception>
    public static CameraProfile Parse(string toml, string where)
    {
        ArgumentNullException.ThrowIfNull(toml);
        return TryParse(toml, out CameraProfile? profile, out IReadOnlyList<ProfileProblem> problems)
            ? profile!
            : throw new InputProblemException(
                where,
                ProfileProblem.OneLine(problems),
                "Mend the settings named; docs/camera-profiles.md tells each one."
            );
    }

    /// <summary>Reads a profile or lists everything that is wrong with it.</summary>
    public static bool TryParse(string toml, out CameraProfile? profile, out IReadOnlyList<ProfileProblem> problems)
    {
        ArgumentNullException.ThrowIfNull(toml);
        profile = null;
        if (!TomlText.TryRead(toml, out TomlTable root, out string problem))
        {
            problems = [new ProfileProblem("file", "", problem)];
            return false;
        }

        List<ProfileProblem> found = [];
        CameraProfile? read = CameraProfileSection.Read(root, found);
        problems = found;
        profile = found.Count == 0 ? read : null;
        return found.Count == 0;
    }

    /// <summary>The profile as TOML; reading it back gives the same profile.</summary>
    public string ToToml() => TomlSerializer.Serialize(CameraProfileSection.Write(this));

    /// <summary>Everything that is wrong with a profile made in code; empty when it is fit for use.</summary>
    public IReadOnlyList<ProfileProblem> Problems()
    {
        _ = TryParse(ToToml(), out _, out IReadOnlyList<ProfileProblem> problems);
        return problems;
    }

    private const long LargestFileBytes = 16 * 1024 * 1024;
}
