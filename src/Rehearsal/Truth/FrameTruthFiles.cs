namespace Hillrow.Rehearsal;

/// <summary>
/// Writes and reads what the frames of a capture truly show. Windows: one TIFF a capture, 16-bit pages, the factor and
/// the crown share of each band in turn. Crowns: one line of JSON a band and plant.
/// </summary>
public static class FrameTruthFiles
{
    /// <summary>Stored reflectance factor of 1.</summary>
    public const int FactorScale = 20_000;

    /// <summary>Stored crown share of 1.</summary>
    public const int ShareScale = 65_535;

    /// <summary>Below the truth's root.</summary>
    public static string WindowsFile(string flightId, int captureNumber) =>
        FormattableString.Invariant($"{flightId}/captures/{captureNumber:0000}-windows.tif");

    /// <summary>Below the truth's root.</summary>
    public static string CrownsFile(string flightId, int captureNumber) =>
        FormattableString.Invariant($"{flightId}/captures/{captureNumber:0000}-crowns.jsonl");

    /// <summary>Below the truth's root: surface and brightness temperature of a thermal frame, one TIFF page each.</summary>
    public static string HeatFile(string flightId, int captureNumber) =>
        FormattableString.Invariant($"{flightId}/captures/{captureNumber:0000}-thermal.tif");

    /// <summary>Below the truth's root: drift, air and sky of a thermal frame, and the plants' temperatures.</summary>
    public static string CrownHeatFile(string flightId, int captureNumber) =>
        FormattableString.Invariant($"{flightId}/captures/{captureNumber:0000}-thermal.json");

    /// <summary>Stored steps of a kelvin.</summary>
    public const int KelvinScale = 100;

    public static void Write(TruthFolder truth, string flightId, RehearsalCapture capture)
    {
        ArgumentNullException.ThrowIfNull(truth);
        ArgumentNullException.ThrowIfNull(capture);
        CardTags tags = new(bigEndian: false);
        List<CardPage> pages = [];
        List<CrownLine> crowns = [];
        for (int band = 0; band < capture.Truth.Frames.Count; band++)
        {
            FrameTruth frame = capture.Truth.Frames[band];
            string name = RigBand.Five[band].Name;
            pages.Add(Page(frame, frame.Factor, FactorScale, name + ": reflectance factor"));
            pages.Add(Page(frame, frame.CrownShare, ShareScale, name + ": share of crop plants"));
            crowns.AddRange(
                frame.Crowns.Select(crown => new CrownLine(
                    name,
                    crown.Plant,
                    Math.Round(crown.Factor, 6),
                    crown.Pixels,
                    Math.Round(crown.Column, 2),
                    Math.Round(crown.Row, 2)
                ))
            );
        }

        string file = truth.PathOf(WindowsFile(flightId, capture.Number));
        Directory.CreateDirectory(Path.GetDirectoryName(file)!);
        CardTiff.Write(file, pages, tags);
        truth.WriteLines(CrownsFile(flightId, capture.Number), crowns);
        if (capture.Truth.Thermal is { } heat)
        {
            WriteHeat(truth, flightId, capture.Number, heat, tags);
        }

        CardPage Page(FrameTruth frame, float[] values, int scale, string what) =>
            new(
                frame.Columns,
                frame.Rows,
                Array.ConvertAll(values, value => (ushort)Math.Clamp(Math.Round(value * scale), 0, ushort.MaxValue)),
                [CardTags.Text(270, what + FormattableString.Invariant($", 1 is {scale}"))],
                [],
                [],
                ""
            );
    }

    private static void WriteHeat(TruthFolder truth, string flightId, int number, ThermalTruth heat, CardTags tags)
    {
        CardPage Page(float[] kelvin, string what) =>
            new(
                ThermalCamera.Columns,
                ThermalCamera.Rows,
                Array.ConvertAll(kelvin, value => (ushort)Math.Round(KelvinScale * value)),
                [CardTags.Text(270, what + FormattableString.Invariant($", 1 K is {KelvinScale}"))],
                [],
                [],
                ""
            );
        CardTiff.Write(
            truth.PathOf(HeatFile(flightId, number)),
            [
                Page(heat.SurfaceKelvin, "mean temperature of the surfaces seen"),
                Page(heat.BrightnessKelvin, "brightness temperature at the lens"),
            ],
            tags
        );
        truth.Write(
            CrownHeatFile(flightId, number),
            new HeatLine(
                Math.Round(heat.DriftKelvin, 4),
                Math.Round(heat.AirKelvin, 3),
                Math.Round(heat.SkyKelvin, 3),
                heat.PathPerMetre,
                [.. heat.Crowns.Select(crown => crown with { SurfaceKelvin = Math.Round(crown.SurfaceKelvin, 3) })]
            )
        );
    }

    internal sealed record HeatLine(
        double DriftKelvin,
        double AirKelvin,
        double SkyKelvin,
        double PathPerMetre,
        IReadOnlyList<CrownHeat> Crowns
    );

    /// <summary>One line of the crowns' file.</summary>
    internal sealed record CrownLine(string Band, int Plant, double Factor, double Pixels, double Column, double Row);
}
