using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Reconstruction;

/// <summary>Finds the features of every capture's reference frame.</summary>
internal static class SurveyFeatures
{
    /// <summary>Larger frames are looked at half their size: the search takes some 170 bytes for each pixel.</summary>
    private const int LargestPixels = 6_000_000;

    /// <summary>Spots of less contrast are noise.</summary>
    private const double LeastContrast = 0.01;

    public static CaptureFeatures[] Find(
        ReconstructionInput input,
        ReconstructionSettings settings,
        ParallelOptions options,
        Action<int> done
    )
    {
        CaptureFeatures[] features = new CaptureFeatures[input.Captures.Count];
        BandSensor sensor = input.Profile.ReferenceBand.Sensor;
        GarbageLimit garbage = new();
        int pixels = input.FindFeatures is null ? sensor.Rows * sensor.Columns : 0;
        Parallel.For(
            0,
            features.Length,
            options,
            () => (Counts: new ushort[pixels], Grey: new byte[pixels]),
            (index, _, buffers) =>
            {
                Capture capture = input.Captures[index];
                features[index] = capture.FrameOf(input.Profile.ReferenceBandName) is { } frame
                    ? CaptureFeatures.Spread(
                        input.FindFeatures?.Invoke(capture)
                            ?? InFrame(input, capture, frame, settings, buffers.Counts, buffers.Grey),
                        sensor.Rows,
                        sensor.Columns,
                        settings.FeaturesPerCapture
                    )
                    : CaptureFeatures.None;
                garbage.Hold();
                done(index);
                return buffers;
            },
            _ => { }
        );
        return features;
    }

    /// <summary>The features of a capture's reference frame, most distinct first; it must have one.</summary>
    internal static PictureFeatures InFrame(ReconstructionInput input, Capture capture, ReconstructionSettings settings)
    {
        BandSensor sensor = input.Profile.ReferenceBand.Sensor;
        int pixels = sensor.Rows * sensor.Columns;
        return InFrame(
            input,
            capture,
            capture.FrameOf(input.Profile.ReferenceBandName)!,
            settings,
            new ushort[pixels],
            new byte[pixels]
        );
    }

    private static PictureFeatures InFrame(
        ReconstructionInput input,
        Capture capture,
        BandFrame frame,
        ReconstructionSettings settings,
        ushort[] counts,
        byte[] grey
    )
    {
        (int rows, int columns) = (input.Profile.ReferenceBand.Sensor.Rows, input.Profile.ReferenceBand.Sensor.Columns);
        input.Frames(capture, frame, counts);
        FrameStretch.ToBytes(counts, rows, columns, grey);
        FeatureSettings wanted = new(2 * settings.FeaturesPerCapture, LeastContrast);
        if (rows * columns <= LargestPixels)
        {
            return FeatureDetector.Detect(grey, rows, columns, wanted);
        }

        PictureFeatures found = FeatureDetector.Detect(Halved(grey, rows, columns), rows / 2, columns / 2, wanted);
        return found with
        {
            Features =
            [
                .. found.Features.Select(feature =>
                    feature with
                    {
                        Place = new PixelPoint(2 * feature.Place.Column, 2 * feature.Place.Row),
                        SizePixels = 2 * feature.SizePixels,
                    }
                ),
            ],
        };
    }

    /// <summary>Mean of two by two pixels.</summary>
    private static byte[] Halved(byte[] grey, int rows, int columns)
    {
        byte[] half = new byte[rows / 2 * (columns / 2)];
        for (int row = 0; row < rows / 2; row++)
        {
            ReadOnlySpan<byte> upper = grey.AsSpan(2 * row * columns, columns);
            ReadOnlySpan<byte> lower = grey.AsSpan(((2 * row) + 1) * columns, columns);
            Span<byte> into = half.AsSpan(row * (columns / 2), columns / 2);
            for (int column = 0; column < into.Length; column++)
            {
                int at = 2 * column;
                into[column] = (byte)((upper[at] + upper[at + 1] + lower[at] + lower[at + 1] + 2) / 4);
            }
        }

        return half;
    }
}
