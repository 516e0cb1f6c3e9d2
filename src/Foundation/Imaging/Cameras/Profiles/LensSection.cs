using Hillrow.Numerics;
using Tomlyn.Model;

namespace Hillrow.Imaging;

/// <summary>The lens and mount of a band in a profile file.</summary>
internal static class LensSection
{
    private const double LargestFocalPixels = 1e6;
    private const double LargestCoefficient = 100;

    /// <summary>Null when at fault; the problems are collected.</summary>
    public static Lens? Read(ProfileSection section, BandSensor sensor)
    {
        PixelPoint? focal = ReadFocal(section, sensor);
        PixelPoint? principal = section.Pixel("principalPointPixels", needed: true);
        double Coefficient(string key) => section.Number(key, -LargestCoefficient, LargestCoefficient, fallback: 0);
        (double k1, double k2, double k3) = (Coefficient("k1"), Coefficient("k2"), Coefficient("k3"));
        (double p1, double p2) = (Coefficient("p1"), Coefficient("p2"));
        ProfileSection? residuals = section.Section("residuals");
        section.RefuseTheRest();
        if (focal is not { } f || principal is not { } centre)
        {
            return null;
        }

        try
        {
            Lens lens = new BrownConradyLens(
                sensor.Rows,
                sensor.Columns,
                new BrownConradyValues(f.Column, f.Row, centre, k1, k2, p1, p2, k3)
            );
            return residuals is null ? lens : ReadResiduals(residuals, lens);
        }
        catch (ArgumentException fault)
        {
            section.Problem("k1", k1, fault.Message);
            return null;
        }
    }

    public static TomlTable Write(Lens lens)
    {
        ResidualGrid? grid = (lens as ResidualGridLens)?.Grid;
        Lens inner = lens is ResidualGridLens outer ? outer.Inner : lens;
        if (inner is not BrownConradyLens { Values: var values })
        {
            throw new NotSupportedException($"A camera profile cannot hold a lens of type {inner.GetType().Name}.");
        }

        TomlTable table = new()
        {
            ["focalPixels"] = ProfileValues.List(values.FocalColumnsPixels, values.FocalRowsPixels),
            ["principalPointPixels"] = ProfileValues.List(values.PrincipalPoint),
            ["k1"] = values.K1,
            ["k2"] = values.K2,
            ["k3"] = values.K3,
            ["p1"] = values.P1,
            ["p2"] = values.P2,
        };
        if (grid is not null)
        {
            table["residuals"] = new TomlTable
            {
                ["nodeRows"] = (long)grid.NodeRows,
                ["nodeColumns"] = (long)grid.NodeColumns,
                ["interpolation"] = ProfileSection.Word(grid.Interpolation),
                ["columnOffsetsPixels"] = ProfileValues.List(grid.ColumnOffsetsPixels),
                ["rowOffsetsPixels"] = ProfileValues.List(grid.RowOffsetsPixels),
            };
        }

        return table;
    }

    public static CameraMount ReadMount(ProfileSection section)
    {
        Vector3D turn = section.Vector("rotationVectorDegrees", 180) ?? Vector3D.Zero;
        Vector3D place = section.Vector("lensMetres", 10) ?? Vector3D.Zero;
        section.RefuseTheRest();
        return turn == Vector3D.Zero && place == Vector3D.Zero
            ? CameraMount.Reference
            : CameraMount.FromRotationVector(turn * (Math.PI / 180), place);
    }

    public static TomlTable WriteMount(CameraMount mount)
    {
        Vector3D turn = mount.ReferenceToBand.ToRotationVector();
        return new TomlTable
        {
            ["rotationVectorDegrees"] = ProfileValues.List(Tidy(turn.X), Tidy(turn.Y), Tidy(turn.Z)),
            ["lensMetres"] = ProfileValues.List(mount.LensInReferenceMetres),
        };
    }

    /// <summary>A thousandth of a microdegree is a millionth of any pixel: rounding there keeps files stable.</summary>
    private static double Tidy(double radians) => Math.Round(radians * (180 / Math.PI), 10) + 0.0;

    private static PixelPoint? ReadFocal(ProfileSection section, BandSensor sensor)
    {
        bool inPixels = section.Has("focalPixels");
        double aspect = section.Number("pixelAspect", 0.1, 10, fallback: 1);
        double[]? pixels = section.Numbers("focalPixels", 1, 2);
        double? millimetres = section.NumberOrNull("focalMillimetres", 0.01, 10_000);
        if (inPixels == section.Has("focalMillimetres"))
        {
            section.Problem(
                "focalPixels",
                null,
                "give either focalPixels or focalMillimetres, not both and not neither"
            );
            return null;
        }

        double[]? focal = pixels ?? (millimetres is { } length ? [length * 1000 / sensor.PixelPitchMicrometres] : null);
        if (focal is null || double.IsNaN(focal[0]))
        {
            return null;
        }

        double columns = focal[0];
        double rows = focal.Length == 2 ? focal[1] : focal[0] * aspect;
        if (!(columns is > 0 and <= LargestFocalPixels && rows is > 0 and <= LargestFocalPixels))
        {
            section.Problem("focalPixels", columns, $"must be above 0 and at most {LargestFocalPixels} pixels");
            return null;
        }

        return new PixelPoint(columns, rows);
    }

    private static ResidualGridLens? ReadResiduals(ProfileSection section, Lens lens)
    {
        int rows = section.Whole("nodeRows", 2, 1000);
        int columns = section.Whole("nodeColumns", 2, 1000);
        GridInterpolation interpolation = section.Choice("interpolation", GridInterpolation.Bilinear);
        int count = rows * columns;
        double[]? columnOffsets = section.Numbers("columnOffsetsPixels", count, count, needed: true);
        double[]? rowOffsets = section.Numbers("rowOffsetsPixels", count, count, needed: true);
        section.RefuseTheRest();
        if (columnOffsets is null || rowOffsets is null)
        {
            return null;
        }

        try
        {
            return new ResidualGridLens(
                lens,
                new ResidualGrid(rows, columns, columnOffsets, rowOffsets, interpolation)
            );
        }
        catch (ArgumentException fault)
        {
            section.Problem("columnOffsetsPixels", null, fault.Message);
            return null;
        }
    }
}
