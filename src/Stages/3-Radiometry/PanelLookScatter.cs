using Hillrow.Imaging;

namespace Hillrow.Radiometry;

/// <summary>Standard error of one look at the panel, as looks before and after the flight tell it.</summary>
internal static class PanelLookScatter
{
    /// <summary>What is known beforehand counts as so many differences.</summary>
    private const double PriorDifferences = 4;

    /// <summary>
    /// Pooled over bands: scatter of looks about their band's mean, each over the sensor's light, with the usual value as
    /// if it had been seen a few times. Without a sensor, or with one look, the usual value.
    /// </summary>
    public static double Of(
        RadiometryInput input,
        IReadOnlyList<PanelReading> readings,
        IReadOnlyDictionary<string, IrradianceSeries> lights,
        double usualSigma
    )
    {
        Dictionary<string, Capture> byId = input.Captures.ToDictionary(capture => capture.Id);
        double squares = PriorDifferences * usualSigma * usualSigma;
        double count = PriorDifferences;
        foreach (
            IGrouping<string, PanelReading> band in readings
                .Where(reading => reading.Accepted && reading.RelativeRadiance > 0)
                .GroupBy(reading => reading.Band)
        )
        {
            if (!lights.TryGetValue(band.Key, out IrradianceSeries? light) || !light.Usable)
            {
                continue;
            }

            double[] looks = Looks(band, light, byId);
            double mean = looks.Length == 0 ? 0 : looks.Average();
            squares += looks.Sum(look => (look - mean) * (look - mean));
            count += Math.Max(0, looks.Length - 1);
        }

        return Math.Sqrt(squares / count);
    }

    /// <summary>ln of brightness over light by look; pictures taken within a minute or so are one look.</summary>
    private static double[] Looks(
        IEnumerable<PanelReading> readings,
        IrradianceSeries light,
        Dictionary<string, Capture> byId
    )
    {
        List<List<double>> looks = [];
        DateTimeOffset? last = null;
        foreach (
            PanelReading reading in readings
                .Where(reading => light.At(reading.CaptureId) is not null)
                .OrderBy(reading => byId[reading.CaptureId].TimeUtc)
        )
        {
            DateTimeOffset? time = byId[reading.CaptureId].TimeUtc;
            if (looks.Count == 0 || !((time - last)?.TotalSeconds < BandCalibrating.SamePanelLookSeconds))
            {
                looks.Add([]);
            }

            looks[^1].Add(Math.Log(reading.RelativeRadiance / light.At(reading.CaptureId)!.Value));
            last = time;
        }

        return [.. looks.Select(look => look.Average())];
    }
}
