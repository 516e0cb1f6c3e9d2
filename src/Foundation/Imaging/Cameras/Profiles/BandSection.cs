using Tomlyn.Model;

namespace Hillrow.Imaging;

/// <summary>One [[bands]] section of a profile file.</summary>
internal static class BandSection
{
    private const int LargestSide = 30_000;
    private const int MostPlanes = 16;

    /// <summary>Null when something without which the band makes no sense is missing; the problems are collected.</summary>
    public static CameraBand? Read(ProfileSection section)
    {
        string name = section.Text("name");
        BandKind kind = section.Choice("kind", BandKind.Reflective);
        double centre = section.Number("centreNanometres", 200, 20_000);
        double width = section.Number("widthNanometres", 0.1, 10_000);
        BandSensor? sensor = section.Section("sensor", needed: true) is { } sensorSection
            ? ReadSensor(sensorSection)
            : null;
        Lens? lens =
            section.Section("lens", needed: true) is { } lensSection && sensor is not null
                ? LensSection.Read(lensSection, sensor)
                : null;
        CameraMount mount = section.Section("mount") is { } mountSection
            ? LensSection.ReadMount(mountSection)
            : CameraMount.Reference;
        Vignetting vignetting = section.Section("vignetting") is { } vignettingSection
            ? VignettingSection.Read(vignettingSection)
            : Vignetting.None;
        BlackLevel black = section.Section("blackLevel") is { } blackSection
            ? ReadBlack(blackSection)
            : new BlackLevel(0, FromMetadata: false);
        ResponseTable? response = section.Section("response") is { } responseSection
            ? ReadResponse(responseSection)
            : null;
        RowCorrection? rows = section.Section("rowCorrection") is { } rowSection ? ReadRows(rowSection) : null;
        NoiseModel? noise = section.Section("noise") is { } noiseSection ? ReadNoise(noiseSection) : null;
        double? scale = section.NumberOrNull("radiometricScale", 1e-12, 1e12);
        ThermalScale? thermal = section.Section("thermal") is { } thermalSection ? ReadThermal(thermalSection) : null;
        if (thermal is not null && kind != BandKind.Thermal)
        {
            section.Problem("thermal", null, "belongs to a band of kind \"thermal\" only");
        }

        if (thermal is null && kind == BandKind.Thermal)
        {
            section.Problem("thermal", null, "is missing: a thermal band needs kelvinPerCount and offsetKelvin");
        }

        int? plane = section.Has("plane") ? section.Whole("plane", 0, MostPlanes - 1) : null;
        section.RefuseTheRest();
        return sensor is null || lens is null
            ? null
            : new CameraBand
            {
                Name = name,
                Kind = kind,
                CentreNanometres = centre,
                WidthNanometres = width,
                Sensor = sensor,
                Lens = lens,
                Mount = mount,
                Plane = plane,
                Vignetting = vignetting,
                BlackLevel = black,
                Response = response,
                RowCorrection = rows,
                Noise = noise,
                RadiometricScale = scale,
                Thermal = thermal,
            };
    }

    public static TomlTable Write(CameraBand band)
    {
        TomlTable table = new()
        {
            ["name"] = band.Name,
            ["kind"] = ProfileSection.Word(band.Kind),
            ["centreNanometres"] = band.CentreNanometres,
            ["widthNanometres"] = band.WidthNanometres,
        };
        if (band.RadiometricScale is { } scale)
        {
            table["radiometricScale"] = scale;
        }

        if (band.Plane is { } plane)
        {
            table["plane"] = (long)plane;
        }

        table["sensor"] = new TomlTable
        {
            ["columns"] = (long)band.Sensor.Columns,
            ["rows"] = (long)band.Sensor.Rows,
            ["pixelPitchMicrometres"] = band.Sensor.PixelPitchMicrometres,
            ["bitDepth"] = (long)band.Sensor.BitDepth,
            ["bitPlacement"] = ProfileSection.Word(band.Sensor.Placement),
        };
        table["lens"] = LensSection.Write(band.Lens);
        table["mount"] = LensSection.WriteMount(band.Mount);
        table["vignetting"] = VignettingSection.Write(band.Vignetting);
        table["blackLevel"] = new TomlTable
        {
            ["counts"] = band.BlackLevel.Counts,
            ["fromMetadata"] = band.BlackLevel.FromMetadata,
        };
        if (band.Response is { } response)
        {
            table["response"] = new TomlTable
            {
                ["counts"] = ProfileValues.List(response.Counts),
                ["linearCounts"] = ProfileValues.List(response.LinearCounts),
            };
        }

        if (band.RowCorrection is { } rows)
        {
            table["rowCorrection"] = new TomlTable
            {
                ["rows"] = ProfileValues.List(rows.Rows),
                ["factors"] = ProfileValues.List(rows.Factors),
                ["offsetCounts"] = ProfileValues.List(rows.OffsetCounts),
            };
        }

        if (band.Noise is { } noise)
        {
            table["noise"] = new TomlTable
            {
                ["electronsPerCount"] = noise.ElectronsPerCount,
                ["readNoiseElectrons"] = noise.ReadNoiseElectrons,
            };
        }

        if (band.Thermal is { } thermal)
        {
            table["thermal"] = new TomlTable
            {
                ["kelvinPerCount"] = thermal.KelvinPerCount,
                ["offsetKelvin"] = thermal.OffsetKelvin,
                ["noiseKelvin"] = thermal.NoiseKelvin,
                ["accuracyKelvin"] = thermal.AccuracyKelvin,
            };
        }

        return table;
    }

    private static BandSensor ReadSensor(ProfileSection section)
    {
        BandSensor sensor = new(
            section.Whole("columns", 1, LargestSide),
            section.Whole("rows", 1, LargestSide),
            section.Number("pixelPitchMicrometres", 0.1, 1000),
            section.Whole("bitDepth", 8, 16),
            section.Choice("bitPlacement", BitPlacement.Low)
        );
        section.RefuseTheRest();
        return sensor;
    }

    private static BlackLevel ReadBlack(ProfileSection section)
    {
        BlackLevel black = new(section.Number("counts", 0, 65_535, fallback: 0), section.Flag("fromMetadata"));
        section.RefuseTheRest();
        return black;
    }

    private static ResponseTable? ReadResponse(ProfileSection section)
    {
        double[]? counts = section.Rising("counts", 2);
        double[]? linear = section.Rising("linearCounts", 2);
        section.RefuseTheRest();
        if (counts is null || linear is null)
        {
            return null;
        }

        ProfileValues.SameLength(section, "counts", counts, "linearCounts", linear);
        return new ResponseTable(counts, linear);
    }

    private static RowCorrection? ReadRows(ProfileSection section)
    {
        double[]? rows = section.Rising("rows", 1);
        double[]? factors = section.Numbers("factors", 1, needed: true);
        double[]? offsets = section.Numbers("offsetCounts", 1);
        section.RefuseTheRest();
        if (rows is null || factors is null)
        {
            return null;
        }

        offsets ??= new double[rows.Length];
        ProfileValues.SameLength(section, "rows", rows, "factors", factors);
        ProfileValues.SameLength(section, "rows", rows, "offsetCounts", offsets);
        ProfileValues.AllWithin(section, "factors", factors, 0.01, 100);
        return new RowCorrection(rows, factors, offsets);
    }

    private static NoiseModel ReadNoise(ProfileSection section)
    {
        NoiseModel noise = new(
            section.Number("electronsPerCount", 1e-3, 1e6),
            section.Number("readNoiseElectrons", 0, 1e6)
        );
        section.RefuseTheRest();
        return noise;
    }

    private static ThermalScale ReadThermal(ProfileSection section)
    {
        ThermalScale thermal = new(
            section.Number("kelvinPerCount", 1e-6, 10),
            section.Number("offsetKelvin", -1000, 1000),
            section.Number("noiseKelvin", 0, 100, fallback: 0.05),
            section.Number("accuracyKelvin", 1e-3, 100, fallback: ThermalScale.UsualAccuracyKelvin)
        );
        section.RefuseTheRest();
        return thermal;
    }
}
