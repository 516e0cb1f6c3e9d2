using Tomlyn.Model;

namespace Hillrow.Imaging;

/// <summary>The vignetting of a band in a profile file.</summary>
internal static class VignettingSection
{
    private const int HighestPower = 12;

    private enum Model
    {
        None,
        Radial,
        Polynomial,
        Map,
    }

    private enum Meaning
    {
        Falloff,
        Correction,
    }

    public static Vignetting Read(ProfileSection section)
    {
        Model model = section.Choice("model", Model.None);
        bool correction = section.Choice("gives", Meaning.Falloff) == Meaning.Correction;
        PixelPoint? centre = section.Pixel("centrePixels");
        double? scale = section.NumberOrNull("scalePixels", 1e-6, 1e6);
        double[] coefficients =
            section.Numbers(
                "coefficients",
                model == Model.Polynomial ? 1 : 0,
                200,
                needed: model is Model.Radial or Model.Polynomial
            ) ?? [];
        double[] columnPowers = section.Numbers("columnPowers", 0, 200, needed: model == Model.Polynomial) ?? [];
        double[] rowPowers = section.Numbers("rowPowers", 0, 200, needed: model == Model.Polynomial) ?? [];
        string file = model == Model.Map ? section.Text("file") : section.Text("file", "");
        section.RefuseTheRest();
        switch (model)
        {
            case Model.Radial:
                return new RadialVignetting(centre, coefficients, scale, correction);
            case Model.Polynomial:
                ProfileValues.SameLength(section, "coefficients", coefficients, "columnPowers", columnPowers);
                ProfileValues.SameLength(section, "coefficients", coefficients, "rowPowers", rowPowers);
                return
                    PowersAreGood(section, "columnPowers", columnPowers)
                    && PowersAreGood(section, "rowPowers", rowPowers)
                    && columnPowers.Length == coefficients.Length
                    && rowPowers.Length == coefficients.Length
                    ? new PolynomialVignetting(
                        centre,
                        [
                            .. coefficients.Select(
                                (value, index) =>
                                    new VignettingTerm((int)columnPowers[index], (int)rowPowers[index], value)
                            ),
                        ],
                        scale,
                        correction
                    )
                    : Vignetting.None;
            case Model.Map:
                if (Path.IsPathRooted(file) || file.Split('/', '\\').Contains(".."))
                {
                    section.Problem("file", file, "must lie beside or below the profile");
                }

                return new MappedVignetting(file, correction);
            default:
                return Vignetting.None;
        }
    }

    public static TomlTable Write(Vignetting vignetting)
    {
        TomlTable table = [];
        switch (vignetting)
        {
            case RadialVignetting { Coefficients.Count: 0 }:
                table["model"] = ProfileSection.Word(Model.None);
                break;
            case RadialVignetting radial:
                table["model"] = ProfileSection.Word(Model.Radial);
                WriteFrame(table, radial.Centre, radial.ScalePixels, radial.GivesCorrection);
                table["coefficients"] = ProfileValues.List(radial.Coefficients);
                break;
            case PolynomialVignetting polynomial:
                table["model"] = ProfileSection.Word(Model.Polynomial);
                WriteFrame(table, polynomial.Centre, polynomial.ScalePixels, polynomial.GivesCorrection);
                table["coefficients"] = ProfileValues.List(polynomial.Terms.Select(term => term.Coefficient));
                table["columnPowers"] = ProfileValues.List(polynomial.Terms.Select(term => (double)term.ColumnPower));
                table["rowPowers"] = ProfileValues.List(polynomial.Terms.Select(term => (double)term.RowPower));
                break;
            case MappedVignetting map:
                table["model"] = ProfileSection.Word(Model.Map);
                table["file"] = map.File;
                table["gives"] = ProfileSection.Word(map.GivesCorrection ? Meaning.Correction : Meaning.Falloff);
                break;
            default:
                throw new NotSupportedException(
                    $"A profile cannot hold vignetting of type {vignetting.GetType().Name}."
                );
        }

        return table;
    }

    private static void WriteFrame(TomlTable table, PixelPoint? centre, double? scale, bool correction)
    {
        table["gives"] = ProfileSection.Word(correction ? Meaning.Correction : Meaning.Falloff);
        if (centre is { } place)
        {
            table["centrePixels"] = ProfileValues.List(place);
        }

        if (scale is { } pixels)
        {
            table["scalePixels"] = pixels;
        }
    }

    private static bool PowersAreGood(ProfileSection section, string key, double[] powers)
    {
        foreach (double power in powers)
        {
            if (!double.IsInteger(power) || power < 0 || power > HighestPower)
            {
                section.Problem(key, power, $"powers must be whole numbers from 0 to {HighestPower}");
                return false;
            }
        }

        return true;
    }
}
