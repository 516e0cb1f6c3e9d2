using Hillrow.Numerics;
using Tomlyn.Model;

namespace Hillrow.Imaging;

/// <summary>The top of a profile file: camera, irradiance sensor, panel.</summary>
internal static class CameraProfileSection
{
    private const double LargestOffsetMetres = 10;

    public static CameraProfile Read(TomlTable root, List<ProfileProblem> problems)
    {
        ProfileSection section = new(root, "", problems);
        string name = section.Text("name");
        string note = section.Text("note", "");
        string reference = section.Text("referenceBand");
        double interval = section.Number("shortestTriggerIntervalSeconds", 0.01, 3600);
        Vector3D antenna = section.Vector("antennaFromLensMetres", LargestOffsetMetres) ?? Vector3D.Zero;
        List<CameraBand> bands = [];
        foreach (ProfileSection entry in section.Sections("bands", "at least one [[bands]] section is needed"))
        {
            CameraBand? band = BandSection.Read(entry);
            if (band is null)
            {
                continue;
            }

            if (bands.Exists(other => other.Name == band.Name))
            {
                entry.Problem("name", band.Name, "is the name of an earlier band too");
            }

            if (band.Plane is not null && bands.Exists(other => other.Plane == band.Plane))
            {
                entry.Problem("plane", band.Plane, "is the plane of an earlier band too");
            }

            bands.Add(band);
        }

        if (bands.Exists(band => band.Plane is null) && bands.Exists(band => band.Plane is not null))
        {
            section.Problem(
                "bands",
                null,
                "give a plane to every band or to none: one picture holds all bands, or one"
            );
        }

        CheckReference(section, reference, bands);
        HashSet<string> names = new(bands.Select(band => band.Name), StringComparer.Ordinal);
        IrradianceSensor? irradiance = section.Section("irradianceSensor") is { } light
            ? ReadIrradiance(light, names)
            : null;
        PanelDescription? panel = section.Section("panel") is { } target ? ReadPanel(target, bands) : null;
        TomlTable metadata = section.Table("metadata");
        MetadataMap map = metadata.Count > 0 ? MetadataMapSection.Read(metadata, problems) : MetadataMap.Standard;
        section.RefuseTheRest();
        return new CameraProfile
        {
            Name = name,
            Note = note,
            Bands = bands,
            ReferenceBandName = reference,
            ShortestTriggerIntervalSeconds = interval,
            AntennaFromLensMetres = antenna,
            IrradianceSensor = irradiance,
            Panel = panel,
            Metadata = map,
        };
    }

    public static TomlTable Write(CameraProfile profile)
    {
        TomlTable root = new()
        {
            ["name"] = profile.Name,
            ["note"] = profile.Note,
            ["referenceBand"] = profile.ReferenceBandName,
            ["shortestTriggerIntervalSeconds"] = profile.ShortestTriggerIntervalSeconds,
            ["antennaFromLensMetres"] = ProfileValues.List(profile.AntennaFromLensMetres),
        };
        if (profile.Bands.Count > 0)
        {
            TomlTableArray bands = [];
            foreach (CameraBand band in profile.Bands)
            {
                bands.Add(BandSection.Write(band));
            }

            root["bands"] = bands;
        }

        if (profile.IrradianceSensor is { } light)
        {
            root["irradianceSensor"] = WriteIrradiance(light);
        }

        if (profile.Panel is { } panel)
        {
            root["panel"] = WritePanel(panel);
        }

        root["metadata"] = profile.Metadata.ToTable();
        return root;
    }

    private static void CheckReference(ProfileSection section, string reference, List<CameraBand> bands)
    {
        CameraBand? band = bands.Find(entry => entry.Name == reference);
        if (reference.Length > 0 && bands.Count > 0 && band is null)
        {
            section.Problem("referenceBand", reference, "must be the name of a band");
        }

        if (band is not null && band.Mount != CameraMount.Reference)
        {
            section.Problem(
                "referenceBand",
                reference,
                "its own mount must be all zeros, because the others are measured from it"
            );
        }
    }

    private static IrradianceSensor ReadIrradiance(ProfileSection section, HashSet<string> bandNames)
    {
        IrradianceUnit unit = section.Choice("unit", IrradianceUnit.Relative);
        Vector3D turn = section.Vector("mountDegrees", 180) ?? Vector3D.Zero;
        CosineTable? cosine = null;
        if (section.Section("cosine") is { } table)
        {
            double[]? angles = table.Rising("incidenceDegrees", 2);
            double[]? response = table.Numbers("relativeResponse", 2, needed: true);
            if (angles is not null && response is not null)
            {
                cosine = new CosineTable(angles, response);
                ProfileValues.SameLength(table, "incidenceDegrees", angles, "relativeResponse", response);
                ProfileValues.AllWithin(table, "incidenceDegrees", angles, 0, 90);
                ProfileValues.AllWithin(table, "relativeResponse", response, 0.01, 10);
            }

            table.RefuseTheRest();
        }

        Dictionary<string, double> scale = section.NumbersByName("bandScale", 1e-12, 1e12);
        foreach (string band in scale.Keys.Where(name => !bandNames.Contains(name)))
        {
            section.Problem($"bandScale.{band}", scale[band], "is not the name of a band");
        }

        section.RefuseTheRest();
        return new IrradianceSensor(unit, Attitude.FromDegrees(turn.X, turn.Y, turn.Z), cosine, scale);
    }

    private static TomlTable WriteIrradiance(IrradianceSensor sensor)
    {
        TomlTable table = new()
        {
            ["unit"] = ProfileSection.Word(sensor.Unit),
            ["mountDegrees"] = ProfileValues.List(
                ProfileValues.Degrees(sensor.MountOffset.Yaw),
                ProfileValues.Degrees(sensor.MountOffset.Pitch),
                ProfileValues.Degrees(sensor.MountOffset.Roll)
            ),
        };
        if (sensor.Cosine is { } cosine)
        {
            table["cosine"] = new TomlTable
            {
                ["incidenceDegrees"] = ProfileValues.List(cosine.IncidenceDegrees),
                ["relativeResponse"] = ProfileValues.List(cosine.RelativeResponse),
            };
        }

        if (sensor.BandScale.Count > 0)
        {
            table["bandScale"] = ProfileValues.ByName(sensor.BandScale);
        }

        return table;
    }

    private static PanelDescription ReadPanel(ProfileSection section, List<CameraBand> bands)
    {
        string marker = section.Text("marker", "");
        double side = section.Number("markerSideMetres", 0, LargestOffsetMetres, fallback: 0);
        if (marker.Length > 0 && side <= 0)
        {
            section.Problem("markerSideMetres", side, "must be above 0 when a marker is named");
        }

        List<PanelLevel> levels = [];
        foreach (ProfileSection entry in section.Sections("levels", "at least one [[panel.levels]] section is needed"))
        {
            string name = entry.Text("name");
            double sigma = entry.Number("certificateSigma", 0, 0.5, fallback: 0.01);
            Dictionary<string, double> reflectance = entry.NumbersByName("reflectance", 0.001, 1.2);
            foreach (CameraBand band in bands.Where(band => band.Kind == BandKind.Reflective))
            {
                if (!reflectance.ContainsKey(band.Name))
                {
                    entry.Problem(
                        $"reflectance.{band.Name}",
                        null,
                        "is missing: the reflectance in every reflective band is needed"
                    );
                }
            }

            foreach (string band in reflectance.Keys.Where(key => !bands.Exists(band => band.Name == key)))
            {
                entry.Problem($"reflectance.{band}", reflectance[band], "is not the name of a band");
            }

            double[] corners = entry.Numbers("cornersMetres", 8, 8) ?? [];
            levels.Add(
                new PanelLevel(
                    name,
                    reflectance,
                    sigma,
                    [.. corners.Chunk(2).Select(pair => new PanelPoint(pair[0], pair[1]))]
                )
            );
            entry.RefuseTheRest();
        }

        section.RefuseTheRest();
        return new PanelDescription(marker, side, levels);
    }

    private static TomlTable WritePanel(PanelDescription panel)
    {
        TomlTableArray levels = [];
        foreach (PanelLevel level in panel.Levels)
        {
            TomlTable table = new()
            {
                ["name"] = level.Name,
                ["certificateSigma"] = level.CertificateSigma,
                ["reflectance"] = ProfileValues.ByName(level.ReflectanceByBand),
            };
            if (level.CornersMetres.Count > 0)
            {
                table["cornersMetres"] = ProfileValues.List([
                    .. level.CornersMetres.SelectMany(point => new[] { point.XMetres, point.YMetres }),
                ]);
            }

            levels.Add(table);
        }

        return new TomlTable
        {
            ["marker"] = panel.Marker,
            ["markerSideMetres"] = panel.MarkerSideMetres,
            ["levels"] = levels,
        };
    }
}
