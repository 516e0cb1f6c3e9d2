namespace Hillrow.Intake;

/// <summary>Which frames are one trigger and which are one band, found from how labels vary together.</summary>
/// <remarks>
/// A label of the bands and a label of the triggers belong together when every pair of them occurs at most once and nearly
/// every trigger has every band. What the labels look like (wavelengths, colour names, times) tells which is which.
/// </remarks>
internal sealed class FrameStructure
{
    private const int MostBands = 14;
    private const double LeastComplete = 0.6;

    /// <summary>Band of each frame, counted from 0.</summary>
    public required int[] BandOf { get; init; }

    /// <summary>Trigger of each frame, counted from 0 in the order of first frames.</summary>
    public required int[] CaptureOf { get; init; }

    public required int Bands { get; init; }

    public required int Captures { get; init; }

    public bool ByPages { get; init; }

    /// <summary>What labels the bands, where pages do not.</summary>
    public Channel? BandChannel { get; init; }

    public Channel? CaptureChannel { get; init; }

    /// <summary>Channels that differ from band to band and never within one.</summary>
    public bool IsBandLabel(Channel channel) => Matches(channel, BandOf, Bands);

    /// <summary>The same in all frames of a trigger, and never twice.</summary>
    public bool IsCaptureLabel(Channel channel) => Matches(channel, CaptureOf, Captures);

    /// <summary>Share of triggers within which the value is the same in all frames.</summary>
    public double SameWithinCapture(Channel channel) => SameWithin(channel, CaptureOf);

    public double SameWithinBand(Channel channel) => SameWithin(channel, BandOf);

    public string Varies(Channel channel) =>
        channel.Distinct <= 1 ? "constant"
        : SameWithinBand(channel) > 0.99 ? "by band"
        : SameWithinCapture(channel) > 0.98 ? "by capture"
        : "by frame";

    /// <summary>Numbers of each trigger, of its first frame that tells one.</summary>
    public double?[] PerCapture(Channel channel)
    {
        double?[] values = new double?[Captures];
        for (int frame = 0; frame < CaptureOf.Length; frame++)
        {
            values[CaptureOf[frame]] ??= channel.Numbers[frame];
        }

        return values;
    }

    public string?[] PerBand(Channel channel)
    {
        string?[] values = new string?[Bands];
        for (int frame = 0; frame < BandOf.Length; frame++)
        {
            values[BandOf[frame]] ??= channel.Texts[frame];
        }

        return values;
    }

    public double?[] NumbersPerBand(Channel channel)
    {
        double?[] values = new double?[Bands];
        for (int frame = 0; frame < BandOf.Length; frame++)
        {
            values[BandOf[frame]] ??= channel.Numbers[frame];
        }

        return values;
    }

    public static FrameStructure Find(IReadOnlyList<SampleFrame> frames, IReadOnlyList<Channel> channels)
    {
        int pages = frames.Max(frame => frame.Pages);
        if (pages > 1)
        {
            int[] files = Labels([.. frames.Select(frame => (string?)frame.File)], out int count);
            return new FrameStructure
            {
                BandOf = [.. frames.Select(frame => frame.Page)],
                CaptureOf = files,
                Bands = pages,
                Captures = count,
                ByPages = true,
            };
        }

        Label[] labels =
        [
            .. channels
                .Where(channel => channel.Present == frames.Count)
                .Select(channel => new Label(channel, Labels(channel.Texts, out int distinct), distinct))
                .Where(label => label.Distinct >= 2),
        ];
        Label[] times = [.. labels.Where(label => LooksLikeTime(label.Channel))];
        Label? bestBand = null;
        Label? bestCapture = null;
        double best = double.NegativeInfinity;
        foreach (Label band in labels.Where(label => label.Distinct <= MostBands))
        {
            foreach (Label capture in labels)
            {
                double fit = Fit(band, capture, frames.Count);
                if (fit < LeastComplete)
                {
                    continue;
                }

                double score =
                    (2 * fit)
                    + BandLooks(band.Channel)
                    + CaptureLooks(capture.Channel)
                    - Math.Max(0, BandLooks(capture.Channel))
                    + times.Take(3).Sum(time => Share(time, capture) - Share(time, band));
                if (score > best)
                {
                    (best, bestBand, bestCapture) = (score, band, capture);
                }
            }
        }

        if (bestBand is null || bestCapture is null)
        {
            return new FrameStructure
            {
                BandOf = new int[frames.Count],
                CaptureOf = [.. Enumerable.Range(0, frames.Count)],
                Bands = 1,
                Captures = frames.Count,
            };
        }

        return new FrameStructure
        {
            BandOf = bestBand.Of,
            CaptureOf = bestCapture.Of,
            Bands = bestBand.Distinct,
            Captures = bestCapture.Distinct,
            BandChannel = bestBand.Channel,
            CaptureChannel = bestCapture.Channel,
        };
    }

    private sealed record Label(Channel Channel, int[] Of, int Distinct);

    /// <summary>Share of triggers that are whole; 0 when a pair occurs twice.</summary>
    private static double Fit(Label band, Label capture, int frames)
    {
        if (
            band == capture
            || (long)band.Distinct * capture.Distinct < frames
            || (long)band.Distinct * capture.Distinct > frames / LeastComplete
        )
        {
            return 0;
        }

        bool[] met = new bool[band.Distinct * capture.Distinct];
        int[] sizes = new int[capture.Distinct];
        int twice = 0;
        for (int frame = 0; frame < frames; frame++)
        {
            int pair = (capture.Of[frame] * band.Distinct) + band.Of[frame];
            twice += met[pair] ? 1 : 0;
            met[pair] = true;
            sizes[capture.Of[frame]]++;
        }

        return twice > frames / 50 ? 0 : sizes.Count(size => size == band.Distinct) / (double)capture.Distinct;
    }

    /// <summary>Share of groups within which the other label does not change.</summary>
    private static double Share(Label label, Label groups)
    {
        int[] first = new int[groups.Distinct];
        bool[] mixed = new bool[groups.Distinct];
        Array.Fill(first, -1);
        for (int frame = 0; frame < groups.Of.Length; frame++)
        {
            int group = groups.Of[frame];
            mixed[group] |= first[group] >= 0 && first[group] != label.Of[frame];
            first[group] = label.Of[frame];
        }

        return mixed.Count(value => !value) / (double)groups.Distinct;
    }

    private static double BandLooks(Channel channel)
    {
        string[] texts = [.. channel.Texts.OfType<string>().Distinct()];
        double looks = 0;
        if (
            channel.IsNumeric
            && channel.Values.All(value => value is > 380 and < 1100 or > 7000 and < 15000 or > 0.38 and < 1.1)
        )
        {
            looks +=
                1
                + (
                    QuantityWords.Score(Imaging.FrameQuantity.CentreWavelength, channel.Words) > 1
                    || channel.UnitText == "nm"
                        ? 4
                        : 0
                );
        }

        looks += texts.Length <= MostBands && texts.All(text => SpectralNames.Usual(text) is not null) ? 5 : 0;
        looks += QuantityWords.Score(Imaging.FrameQuantity.BandName, channel.Words) > 1 ? 2 : 0;
        looks += QuantityWords.Score(Imaging.FrameQuantity.BandNumber, channel.Words) > 1 ? 2 : 0;
        looks += channel.Rule.FileName is not null || channel.Rule.Folder is not null ? 1.5 : 0;
        looks +=
            channel.IsNumeric
            && channel.Values.Distinct().Order().SequenceEqual(Enumerable.Range(1, texts.Length).Select(n => (double)n))
                ? 1
                : 0;
        return looks
            - (LooksLikeTime(channel) ? 5 : 0)
            - Math.Max(0, QuantityWords.Score(Imaging.FrameQuantity.CaptureId, channel.Words));
    }

    private static double CaptureLooks(Channel channel) =>
        Math.Clamp(QuantityWords.Score(Imaging.FrameQuantity.CaptureId, channel.Words), 0, 3)
        + (channel.Rule.FileName is not null ? 1.5 : 0)
        + (channel.Rule.Folder is not null ? 1 : 0)
        - (
            channel.Rule.Property is not null && QuantityWords.Score(Imaging.FrameQuantity.CaptureId, channel.Words) < 1
                ? 1
                : 0
        );

    internal static bool LooksLikeTime(Channel channel) =>
        channel.Rule.Property is { } key
        && (
            key is { Source: Imaging.PropertySource.Exif, Tag: 36867 or 36868 }
            || key is { Source: Imaging.PropertySource.Tiff, Tag: 306 }
            || (
                channel.Texts.First(text => text is not null) is { Length: >= 10 } text
                && TimeProposal.ReadsAsTime(text)
            )
        );

    private static bool Matches(Channel channel, int[] groups, int count)
    {
        if (channel.Present < groups.Length || channel.Distinct != count)
        {
            return false;
        }

        int[] labels = Labels(channel.Texts, out _);
        Dictionary<int, int> of = [];
        for (int frame = 0; frame < groups.Length; frame++)
        {
            if (!of.TryAdd(labels[frame], groups[frame]) && of[labels[frame]] != groups[frame])
            {
                return false;
            }
        }

        return true;
    }

    private static double SameWithin(Channel channel, int[] groups)
    {
        Dictionary<int, string?> first = [];
        HashSet<int> mixed = [];
        for (int frame = 0; frame < groups.Length; frame++)
        {
            if (!first.TryAdd(groups[frame], channel.Texts[frame]) && first[groups[frame]] != channel.Texts[frame])
            {
                mixed.Add(groups[frame]);
            }
        }

        return 1 - (mixed.Count / (double)Math.Max(1, first.Count));
    }

    private static int[] Labels(IReadOnlyList<string?> texts, out int distinct)
    {
        Dictionary<string, int> known = new(StringComparer.Ordinal);
        int[] labels =
        [
            .. texts.Select(text => known.TryGetValue(text ?? "", out int at) ? at : known[text ?? ""] = known.Count),
        ];
        distinct = known.Count;
        return labels;
    }
}
