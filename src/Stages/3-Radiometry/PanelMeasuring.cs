using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Radiometry;

/// <summary>Finds the panel's grey field in each band of a capture and measures it.</summary>
internal sealed class PanelMeasuring(
    RadiometryInput input,
    RadiometrySettings settings,
    Func<string, BandCorrection> correctionOf
)
{
    /// <summary>About so many blocks lie across a frame.</summary>
    private const int BlocksAcross = 192;

    /// <summary>Blocks of a dark field scatter more: what is left of its noise is a larger share.</summary>
    private const double DarkerSpread = 2;

    private const double LargestCentreGap = 0.12;
    private const double LargestAreaRatio = 1.7;

    /// <summary>
    /// One reading of the panel's brightest level a band that the capture has a frame of, used or refused; and one of each
    /// darker level that was found beside it, of those that can be used.
    /// </summary>
    public IReadOnlyList<PanelReading> Measure(Capture capture)
    {
        IReadOnlyList<PanelLevel> levels = PanelLevels.InOrder(input.Profile.Panel!);
        PanelLevel level = levels[0];
        List<(BandFrame Frame, BlockPicture? Picture, string Fault)> pictures = [];
        foreach (CameraBand band in input.Profile.ReflectiveBands)
        {
            if (capture.FrameOf(band.Name) is not { } frame)
            {
                continue;
            }

            try
            {
                pictures.Add((frame, Reduce(band, frame, capture.Id), ""));
            }
            catch (InputProblemException fault)
            {
                pictures.Add((frame, null, fault.Problem));
            }
        }

        EvenField?[] chosen = Agree([.. pictures.Select(entry => entry.Picture?.Fields ?? [])]);
        List<PanelReading> readings =
        [
            .. pictures.Select(
                (entry, index) => Judge(capture, entry.Frame, entry.Picture, entry.Fault, chosen[index], level)
            ),
        ];
        for (int index = 0; index < pictures.Count; index++)
        {
            if (!readings[index].Accepted || pictures[index].Picture is not { } picture)
            {
                continue;
            }

            foreach (PanelLevel darker in levels.Skip(1))
            {
                string band = pictures[index].Frame.Band;
                EvenField? field = PanelLevels.Find(
                    darker,
                    level,
                    chosen[index]!,
                    picture.Darker,
                    band,
                    input.Profile.Band(band).Sensor
                );
                if (
                    field is not null
                    && Judge(capture, pictures[index].Frame, picture, "", field, darker) is { Accepted: true } reading
                )
                {
                    readings.Add(reading);
                }
            }
        }

        return readings;
    }

    private PanelReading Judge(
        Capture capture,
        BandFrame frame,
        BlockPicture? picture,
        string fault,
        EvenField? field,
        PanelLevel level
    )
    {
        PanelReading none = new(capture.Id, frame.Band, level.Name, 0, 0, 0, null, 0, false, fault);
        if (picture is null)
        {
            return none;
        }

        if (field is null)
        {
            return none with
            {
                Reason = "no bright, even field that could be the panel; point it out by hand if it is there",
            };
        }

        double saturated = field.InnerBlocks.Average(block => (double)picture.Saturated[block]);
        string reason =
            saturated > settings.LargestSaturatedShare
                ? FormattableString.Invariant(
                    $"{100 * saturated:0.#} % of the panel's pixels are saturated (limit {100 * settings.LargestSaturatedShare:0.#} %)"
                )
            : field.Unevenness > settings.LargestUnevenness
                ? FormattableString.Invariant(
                    $"the panel is uneven by {100 * field.Unevenness:0.#} % (limit {100 * settings.LargestUnevenness:0.#} %): shadow, dirt or glare"
                )
            : field.Neighbour > 0 && input.Profile.Panel!.Levels.Count == 1
                ? FormattableString.Invariant(
                    $"a part of the panel beside it has {100 * field.Neighbour:0} % of its brightness: a shadow lies over it"
                )
            : "";
        CameraBand band = input.Profile.Band(frame.Band);
        return new PanelReading(
            capture.Id,
            frame.Band,
            level.Name,
            field.Mean,
            field.Unevenness,
            saturated,
            new PixelPoint(field.Column * band.Sensor.Columns, field.Row * band.Sensor.Rows),
            field.InnerBlocks.Count * picture.BlockPixels * picture.BlockPixels,
            reason.Length == 0,
            reason
        )
        {
            FrameRadiance = picture.Mean,
        };
    }

    /// <summary>The fields, one a band, that lie in the same place and are of the same size in most bands.</summary>
    private static EvenField?[] Agree(IReadOnlyList<EvenField>[] bands)
    {
        EvenField?[] best = new EvenField?[bands.Length];
        double bestScore = 0;
        foreach (EvenField anchor in bands.SelectMany(fields => fields.Take(6)))
        {
            EvenField?[] set = [.. bands.Select(fields => fields.FirstOrDefault(field => Fit(anchor, field)))];
            double score = set.Sum(field => field?.Score ?? 0);
            if (score > bestScore)
            {
                (best, bestScore) = (set, score);
            }
        }

        return best;
    }

    private static bool Fit(EvenField one, EvenField other) =>
        Math.Abs(one.Row - other.Row) < LargestCentreGap
        && Math.Abs(one.Column - other.Column) < LargestCentreGap
        && Math.Max(one.AreaShare, other.AreaShare) < LargestAreaRatio * Math.Min(one.AreaShare, other.AreaShare);

    private BlockPicture Reduce(CameraBand band, BandFrame frame, string captureId)
    {
        BandCorrection correction = correctionOf(band.Name);
        (int rows, int columns) = (correction.Rows, correction.Columns);
        ushort[] samples = new ushort[rows * columns];
        FrameCounts.Read(input.CaptureRoot, frame, rows, columns, samples);
        float[] radiance = new float[samples.Length];
        correction.Apply(samples, frame, 1, 0, markSaturated: false, radiance, []);
        int block = Math.Max(2, columns / BlocksAcross);
        int blockRows = rows / block;
        int blockColumns = columns / block;
        float[] means = new float[blockRows * blockColumns];
        float[] spreads = new float[means.Length];
        float[] saturated = new float[means.Length];
        int inBlock = block * block;
        double black = correction.BlackOf(frame);
        for (int index = 0; index < means.Length; index++)
        {
            int top = index / blockColumns * block;
            int left = index % blockColumns * block;
            double sum = 0;
            double squares = 0;
            double counts = 0;
            int full = 0;
            for (int row = top; row < top + block; row++)
            {
                for (int column = left; column < left + block; column++)
                {
                    float value = radiance[(row * columns) + column];
                    ushort sample = samples[(row * columns) + column];
                    sum += value;
                    squares += (double)value * value;
                    counts += sample >> correction.Shift;
                    full += correction.IsSaturated(sample) ? 1 : 0;
                }
            }

            double mean = sum / inBlock;
            double variance = Math.Max(0, (squares / inBlock) - (mean * mean));
            double above = Math.Max(1, (counts / inBlock) - black);
            double noise = correction.Noise.SigmaCounts(above, frame.Gain ?? 1) / above;
            means[index] = (float)mean;

            // What noise alone makes is no texture of the thing seen.
            spreads[index] = (float)Math.Sqrt(Math.Max(0, (variance / Math.Max(mean * mean, 1e-30)) - (noise * noise)));
            saturated[index] = full / (float)inBlock;
        }

        IReadOnlyList<EvenField> fields = ByHand(captureId, band, block, blockRows, blockColumns, means) is { } hand
            ? [hand]
            : EvenFields.Find(
                means,
                spreads,
                blockRows,
                blockColumns,
                settings.LargestUnevenness,
                settings.SmallestFieldShare
            );
        bool several = input.Profile.Panel!.Levels.Count > 1;
        return new BlockPicture(
            block,
            saturated,
            fields,
            several
                ? EvenFields.Find(
                    means,
                    spreads,
                    blockRows,
                    blockColumns,
                    DarkerSpread * settings.LargestUnevenness,
                    settings.SmallestFieldShare,
                    leastContrast: 0
                )
                : [],
            means.Average()
        );
    }

    private EvenField? ByHand(string captureId, CameraBand band, int block, int rows, int columns, float[] means)
    {
        if (
            settings.PanelRegions.FirstOrDefault(one => one.CaptureId == captureId && one.Band == band.Name)
            is not { } region
        )
        {
            return null;
        }

        int[] inner =
        [
            .. Enumerable
                .Range(0, rows * columns)
                .Where(index =>
                    Inside(region.Corners, ((index % columns) + 0.5) * block, ((index / columns) + 0.5) * block)
                ),
        ];
        if (inner.Length == 0)
        {
            throw new InputProblemException(
                $"capture {captureId}, band {band.Name}",
                $"the panel region given by hand holds less than {block} × {block} pixels.",
                "Give corners in pixels, in order round the field."
            );
        }

        double mean = inner.Average(index => (double)means[index]);
        double spread = Math.Sqrt(inner.Average(index => (means[index] - mean) * (means[index] - mean)));
        return new EvenField(
            (inner.Average(index => index / columns) + 0.5) / rows,
            (inner.Average(index => index % columns) + 0.5) / columns,
            inner.Length / (double)(rows * columns),
            mean,
            spread / mean,
            double.PositiveInfinity,
            1,
            1e6,
            inner,
            0
        );
    }

    private static bool Inside(IReadOnlyList<PixelPoint> corners, double column, double row)
    {
        bool inside = false;
        for (int i = 0, j = corners.Count - 1; i < corners.Count; j = i++)
        {
            (PixelPoint a, PixelPoint b) = (corners[i], corners[j]);
            if (
                a.Row > row != b.Row > row
                && column < ((b.Column - a.Column) * (row - a.Row) / (b.Row - a.Row)) + a.Column
            )
            {
                inside = !inside;
            }
        }

        return inside;
    }

    private sealed record BlockPicture(
        int BlockPixels,
        float[] Saturated,
        IReadOnlyList<EvenField> Fields,
        IReadOnlyList<EvenField> Darker,
        double Mean
    );
}
