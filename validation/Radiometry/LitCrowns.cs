using Hillrow.Plants;
using Hillrow.Radiometry;
using Hillrow.Rehearsal;

namespace Hillrow.Validation.Radiometry;

/// <summary>NDVI of each plant's leaves in full sun, pixel by pixel of all frames that show its crown (decision 0062).</summary>
internal static class LitCrowns
{
    private const double CrownRadiusShare = 0.7;
    private const double SmallestRadiusPixels = 5;
    private const int FewestCaptures = 2;
    private const int FewestPixels = 200;

    /// <summary>Every so many pixels tell the level of bright leaves.</summary>
    private const int BrightStep = 7;

    public static IReadOnlyDictionary<int, double> Ndvi(JudgedFlight flight, ReflectanceFrames frames)
    {
        List<CrownPixels> crowns = [];
        Lock gate = new();
        Parallel.For(
            0,
            flight.Survey.Count,
            at =>
            {
                List<CrownPixels> own = [.. OfCapture(flight, frames, flight.Survey[at].Id)];
                lock (gate)
                {
                    crowns.AddRange(own);
                }
            }
        );
        float[] all = [.. crowns.SelectMany(crown => crown.Infrared.Where((_, at) => at % BrightStep == 0))];
        double bright = LitLeaves.BrightOf(all);
        Dictionary<int, double> found = [];
        foreach (IGrouping<int, CrownPixels> plant in crowns.GroupBy(crown => crown.Plant))
        {
            (double Infrared, double Red, int Count)[] looks =
            [
                .. plant.Select(crown => Lit(crown, bright)).Where(look => look.Count >= LitLeaves.FewestPixels),
            ];
            if (looks.Length >= FewestCaptures && looks.Sum(look => look.Count) >= FewestPixels)
            {
                (double n, double r) = (looks.Average(look => look.Infrared), looks.Average(look => look.Red));
                found[plant.Key] = (n - r) / (n + r);
            }
        }

        return found;
    }

    private static (double Infrared, double Red, int Count) Lit(CrownPixels crown, double bright)
    {
        double floor = LitLeaves.Floor(LitLeaves.BrightOf([.. crown.Infrared]), bright);
        (double n, double r, int count) = (0, 0, 0);
        for (int at = 0; at < crown.Infrared.Length; at++)
        {
            if (crown.Infrared[at] >= floor)
            {
                (n, r, count) = (n + crown.Infrared[at], r + crown.Red[at], count + 1);
            }
        }

        return (n / Math.Max(1, count), r / Math.Max(1, count), count);
    }

    private static IEnumerable<CrownPixels> OfCapture(JudgedFlight flight, ReflectanceFrames frames, string id)
    {
        (string red, string infrared) = (RigBand.Five[2].Name, RigBand.Five[4].Name);
        if (!frames.Has(id, red) || !frames.Has(id, infrared))
        {
            yield break;
        }

        float[] redFrame = new float[TrueRig.Columns * TrueRig.Rows];
        float[] infraredFrame = new float[redFrame.Length];
        frames.Load(id, red, redFrame, []);
        frames.Load(id, infrared, infraredFrame, []);
        foreach (IGrouping<int, CrownTruth> plant in flight.CrownsOf(id).GroupBy(crown => crown.Plant))
        {
            CrownTruth? inRed = plant.FirstOrDefault(crown => crown.Band == red);
            CrownTruth? inInfrared = plant.FirstOrDefault(crown => crown.Band == infrared);
            if (
                inRed is not null
                && inInfrared is not null
                && Pixels(plant.Key, inRed, redFrame, inInfrared, infraredFrame) is { } pixels
            )
            {
                yield return pixels;
            }
        }
    }

    /// <summary>Null where the frame's edge cuts the crown, or it is too small.</summary>
    private static CrownPixels? Pixels(
        int number,
        CrownTruth inRed,
        float[] red,
        CrownTruth inInfrared,
        float[] infrared
    )
    {
        double radius = CrownRadiusShare * Math.Sqrt(inInfrared.Pixels / Math.PI);
        if (radius < SmallestRadiusPixels)
        {
            return null;
        }

        int down = (int)Math.Round(inRed.Row - inInfrared.Row);
        int across = (int)Math.Round(inRed.Column - inInfrared.Column);
        List<float> ofRed = [];
        List<float> ofInfrared = [];
        for (int y = -(int)radius; y <= radius; y++)
        {
            for (int x = -(int)radius; x <= radius; x++)
            {
                if ((x * x) + (y * y) > radius * radius)
                {
                    continue;
                }

                (int row, int column) = ((int)inInfrared.Row + y, (int)inInfrared.Column + x);
                if (!IsInside(row, column) || !IsInside(row + down, column + across))
                {
                    return null;
                }

                float n = infrared[(row * TrueRig.Columns) + column];
                float r = red[((row + down) * TrueRig.Columns) + column + across];
                if (n > 0 && r > 0)
                {
                    ofRed.Add(r);
                    ofInfrared.Add(n);
                }
            }
        }

        return ofRed.Count == 0 ? null : new CrownPixels(number, [.. ofRed], [.. ofInfrared]);
    }

    private static bool IsInside(int row, int column) =>
        row >= 0 && column >= 0 && row < TrueRig.Rows && column < TrueRig.Columns;

    private sealed record CrownPixels(int Plant, float[] Red, float[] Infrared);
}
