using System.Globalization;
using System.Text.Json;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Radiometry;
using Hillrow.TestSupport;

namespace Hillrow.Checks;

/// <summary>Every case of tests/Reference/radiometry against the radiometry kernels.</summary>
public static class RadiometryChecks
{
    private static readonly ThermalBandLimits Wide = new(8, 14);

    public static CheckTally BlackBody()
    {
        CheckTally tally = new();
        foreach (CheckCase check in CheckBook.Open("radiometry", "planck.json").Cases)
        {
            double kelvin = check.In.GetProperty("T_K").GetDouble();
            double Out(string name) => check.Out.GetProperty(name).GetDouble();
            (string Name, ThermalBandLimits Band)[] bands =
            [
                ("L_8_14_W_m2_sr", Wide),
                ("L_7.5_13.5_W_m2_sr", new(7.5, 13.5)),
                ("L_10_12_W_m2_sr", new(10, 12)),
            ];
            foreach ((string name, ThermalBandLimits band) in bands)
            {
                tally.Compare(check.Id, name, ThermalRadiance.OfBlackBody(kelvin, band), Out(name), 0, 1e-6);
                tally.Compare(
                    check.Id,
                    $"T of {name}",
                    ThermalRadiance.BrightnessKelvin(Out(name), band),
                    kelvin,
                    1e-3
                );
            }

            tally.Compare(
                check.Id,
                "spectral",
                ThermalRadiance.SpectralOfBlackBody(kelvin, 10),
                Out("L_10um_W_m2_sr_um"),
                0,
                1e-6
            );
            tally.Compare(check.Id, "slope", ThermalRadiance.SlopeOfBlackBody(kelvin, Wide), Out("dLdT_8_14"), 0, 1e-5);
            tally.Compare(
                check.Id,
                "share",
                ThermalRadiance.ExitanceShare(kelvin, Wide),
                Out("exitance_fraction_8_14"),
                0,
                1e-6
            );
        }

        return tally;
    }

    public static CheckTally SurfaceTemperature()
    {
        CheckTally tally = new();
        foreach (CheckCase check in CheckBook.Open("radiometry", "brightness_temperature.json").Cases)
        {
            double In(string name) => check.In.GetProperty(name).GetDouble();
            double Out(string name) => check.Out.GetProperty(name).GetDouble();
            ThermalScene scene = new(In("emissivity"), In("background_T_K"), In("transmittance"), In("air_T_K"));
            double surface = In("surface_T_K");
            tally.Compare(
                check.Id,
                "radiance",
                ThermalRadiance.AtSensor(surface, scene, Wide),
                Out("sensor_radiance"),
                0,
                1e-6
            );
            tally.Compare(
                check.Id,
                "brightness",
                ThermalRadiance.BrightnessKelvin(Out("sensor_radiance"), Wide),
                Out("brightness_T_K"),
                0.002
            );
            tally.Compare(
                check.Id,
                "surface",
                ThermalRadiance.SurfaceKelvin(Out("sensor_radiance"), scene, Wide),
                surface,
                0.002
            );
        }

        return tally;
    }

    public static CheckTally Plate()
    {
        CheckBook book = CheckBook.Open("radiometry", "fresnel_plate.json");
        CheckTally tally = new();
        foreach (CheckCase check in book.Cases)
        {
            double index = check.In.GetProperty("n").GetDouble();
            Angle incidence = Angle.FromDegrees(check.In.GetProperty("incidence_deg").GetDouble());
            FresnelPlate plate = FresnelPlate.At(index, incidence);
            void Check(string name, double got) =>
                tally.Compare(check.Id, name, got, check.Out.GetProperty(name).GetDouble(), 1e-10);
            Check("Rs", plate.SReflectance);
            Check("Rp", plate.PReflectance);
            Check("T_one_surface", plate.SurfaceTransmittance);
            Check("T_plate", plate.PlateTransmittance);
            Check("T_plate_rel_normal", FresnelPlate.RelativeTransmittance(index, incidence));
            Check("cosine_response", FresnelPlate.CosineResponse(index, incidence));
        }

        foreach (JsonProperty diffuse in book.Common.GetProperty("isotropic_hemispherical_T_plate").EnumerateObject())
        {
            double index = double.Parse(diffuse.Name, CultureInfo.InvariantCulture);
            tally.Compare(
                $"diffuse {diffuse.Name}",
                "T",
                FresnelPlate.DiffuseTransmittance(index),
                diffuse.Value.GetDouble(),
                1e-10
            );
        }

        return tally;
    }

    public static CheckTally Tilt()
    {
        CheckTally tally = new();
        foreach (CheckCase check in CheckBook.Open("radiometry", "tilted_irradiance.json").Cases)
        {
            double In(string name) => check.In.GetProperty(name).GetDouble();
            TiltedIrradiance got = TiltedIrradiance.Of(
                In("sensor_irradiance"),
                Attitude.FromDegrees(In("yaw_deg"), In("pitch_deg"), In("roll_deg")),
                Angle.FromDegrees(In("sun_zenith_deg")),
                Angle.FromDegrees(In("sun_azimuth_deg")),
                In("diffuse_to_direct_normal")
            );
            void Check(string name, double value, double wanted) =>
                tally.Compare(check.Id, name, value, wanted, 1e-15, 1e-9);
            JsonElement normal = check.Out.GetProperty("sensor_normal_enu");
            Check("normal east", got.SensorNormalEnu.X, normal[0].GetDouble());
            Check("normal north", got.SensorNormalEnu.Y, normal[1].GetDouble());
            Check("normal up", got.SensorNormalEnu.Z, normal[2].GetDouble());
            Check("incidence", got.Incidence.Degrees, check.Out.GetProperty("incidence_deg").GetDouble());
            Check("direct", got.DirectNormal, check.Out.GetProperty("direct_normal").GetDouble());
            Check("horizontal", got.Horizontal, check.Out.GetProperty("horizontal_irradiance").GetDouble());
            Check("correction", got.Correction, check.Out.GetProperty("correction").GetDouble());
        }

        return tally;
    }

    public static CheckTally Panel()
    {
        CheckTally tally = new();
        foreach (CheckCase check in CheckBook.Open("radiometry", "panel_reflectance.json").Cases)
        {
            double In(string name) => check.In.GetProperty(name).GetDouble();
            int largest = (1 << check.In.GetProperty("bits").GetInt32()) - 1;
            double[] coefficients =
            [
                .. check.In.GetProperty("vignette_coeffs").EnumerateArray().Select(entry => entry.GetDouble()),
            ];
            double Radiance(string which, double count) =>
                RelativeRadiance.Of(
                    count,
                    In("black_level"),
                    largest,
                    In($"{which}_exposure_s"),
                    In($"{which}_gain"),
                    RelativeRadiance.Falloff(In($"{which}_radius"), coefficients)
                );
            double panel = Radiance("panel", In("panel_mean_dn"));
            double scene = Radiance("scene", In("scene_dn"));
            void Check(string name, double got) =>
                tally.Compare(check.Id, name, got, check.Out.GetProperty(name).GetDouble(), 0, 1e-9);
            Check("panel_relative_radiance", panel);
            Check("scene_relative_radiance", scene);
            Check("vignette_at_scene", RelativeRadiance.Falloff(In("scene_radius"), coefficients));
            Check(
                "reflectance",
                RelativeRadiance.Reflectance(
                    In("panel_reflectance"),
                    panel,
                    scene,
                    In("panel_irradiance"),
                    In("scene_irradiance")
                )
            );
            Check(
                "reflectance_without_irradiance",
                RelativeRadiance.Reflectance(In("panel_reflectance"), panel, scene)
            );
            float[] row = new float[1];
            RelativeRadiance.OfRow([(ushort)In("scene_dn")], [1f], 0, largest, 1, 1, row);
            tally.IsTrue(
                check.Id,
                "saturation",
                !check.Out.TryGetProperty("saturated", out JsonElement saturated)
                    || float.IsNaN(row[0]) == saturated.GetBoolean()
            );
        }

        return tally;
    }

    public static CheckTally Line()
    {
        CheckTally tally = new();
        foreach (CheckCase check in CheckBook.Open("radiometry", "empirical_line.json").Cases)
        {
            double[] In(string name) =>
                [.. check.In.GetProperty(name).EnumerateArray().Select(entry => entry.GetDouble())];
            EmpiricalLine got = EmpiricalLine.Fit(In("signal"), In("reflectance"));
            tally.Compare(check.Id, "gain", got.Gain, check.Out.GetProperty("gain").GetDouble(), 0, 1e-9);
            tally.Compare(check.Id, "offset", got.Offset, check.Out.GetProperty("offset").GetDouble(), 1e-10);
            tally.Compare(check.Id, "rms", got.Rms, check.Out.GetProperty("rms").GetDouble(), 1e-10);
        }

        return tally;
    }

    /// <summary>Null without the table of the reference spectra, which may not be copied into the project.</summary>
    public static CheckTally? ReferenceSpectra()
    {
        if (RepositoryFiles.SharedCheck("radiometry", "g173_400_950.csv") is not { } path)
        {
            return null;
        }

        double[][] table =
        [
            .. File.ReadLines(path)
                .Skip(1)
                .Where(line => line.Length > 0)
                .Select(line =>
                    line.Split(',').Select(text => double.Parse(text, CultureInfo.InvariantCulture)).ToArray()
                ),
        ];
        double[] Column(int index) => [.. table.Select(row => row[index])];
        CheckTally tally = new();
        foreach (CheckCase check in CheckBook.Open("radiometry", "g173_bands.json").Cases)
        {
            BandShape shape =
                check.In.GetProperty("response").GetString() == "rect" ? BandShape.Rectangular : BandShape.Gaussian;
            (string Name, int Index)[] spectra = [("extraterrestrial", 1), ("global_tilt", 2), ("direct", 3)];
            foreach ((string name, int index) in spectra)
            {
                BandValue got = BandSpectrum.Through(
                    Column(0),
                    Column(index),
                    check.In.GetProperty("centre_nm").GetDouble(),
                    check.In.GetProperty("width_nm").GetDouble(),
                    shape
                );
                tally.Compare(
                    check.Id,
                    $"{name} mean",
                    got.Mean,
                    check.Out.GetProperty($"{name}_mean_W_m2_nm").GetDouble(),
                    0,
                    2e-4
                );
                if (check.Out.TryGetProperty($"{name}_band_W_m2", out JsonElement band))
                {
                    tally.Compare(check.Id, $"{name} band", got.Total, band.GetDouble(), 0, 2e-4);
                }
            }
        }

        return tally;
    }

    /// <summary>All of the above.</summary>
    public static IReadOnlyList<CheckTally?> All() =>
        [BlackBody(), SurfaceTemperature(), Plate(), Tilt(), Panel(), Line(), ReferenceSpectra()];
}
