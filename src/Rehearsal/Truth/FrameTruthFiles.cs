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

    /// <summary>One line of the crowns' file.</summary>
    internal sealed record CrownLine(string Band, int Plant, double Factor, double Pixels, double Column, double Row);
}
