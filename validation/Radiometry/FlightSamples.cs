using Hillrow.Imaging;
using Hillrow.Radiometry;
using Hillrow.Rehearsal;

namespace Hillrow.Validation.Radiometry;

/// <summary>All windows of a flight, found against true, and the figures that follow from them (decision 0033).</summary>
internal sealed class FlightSamples
{
    private const float CrownShare = 0.9f;
    private const float SoilShare = 0.02f;
    private const double SunlitShare = 0.5;
    private const int FewestPlantWindows = 4;
    private const double CrownRadiusShare = 0.7;
    private const int Red = 2;
    private const int NearInfrared = 4;
    private const int FewestNormalisedWindows = 12;
    private const int FewestOverlapCaptures = 3;
    private const double SunlitNirShare = 0.8;
    private const double BrightQuantile = 0.9;

    private readonly JudgedFlight flight;
    private readonly int columns;

    private FlightSamples(JudgedFlight flight, List<WindowSample> all, int columns)
    {
        this.flight = flight;
        All = all;
        this.columns = columns;
    }

    public IReadOnlyList<WindowSample> All { get; }

    /// <param name="flight">Judged.</param>
    /// <param name="frames">What the stage makes of it.</param>
    /// <param name="normalised">Takes sun and view off, or null for the capture's own geometry.</param>
    public static FlightSamples Of(JudgedFlight flight, ReflectanceFrames frames, NormalisedFrames? normalised = null)
    {
        List<WindowSample> all = [];
        int across = 0;
        for (int capture = 0; capture < flight.Survey.Count; capture++)
        {
            string id = flight.Survey[capture].Id;
            IReadOnlyList<WindowTruth> truths = flight.WindowsOf(id);
            WindowSample[][] bands = new WindowSample[RigBand.Five.Count][];
            int at = capture;
            Parallel.For(
                0,
                bands.Length,
                band => bands[band] = OfFrame(frames, normalised, id, at, band, truths[band])
            );
            across = truths[0].Columns;
            all.AddRange(bands.SelectMany(samples => samples));
        }

        return new FlightSamples(flight, all, across);
    }

    /// <summary>Mean of found − true over crown windows.</summary>
    public double CrownBias(int band) =>
        All.Where(sample => sample.Band == band && sample.IsCrown)
            .Average(sample => (double)sample.Found - sample.True);

    public double CrownMean(int band) =>
        All.Where(sample => sample.Band == band && sample.IsCrown).Average(sample => (double)sample.True);

    /// <summary>Mean stated common sigma over crown windows.</summary>
    public double CrownCommonSigma(int band) =>
        All.Where(sample => sample.Band == band && sample.IsCrown).Average(sample => (double)sample.CommonSigma);

    /// <summary>Root mean square of found − true over sunlit crown windows.</summary>
    public double PixelRmse(int band)
    {
        WindowSample[] crown = [.. All.Where(sample => sample.Band == band && sample.IsCrown)];
        float[] sorted = [.. crown.Select(sample => sample.True).Order()];
        double limit = SunlitShare * sorted[sorted.Length / 2];
        return Math.Sqrt(
            crown.Where(sample => sample.True >= limit).Average(sample => Square((double)sample.Found - sample.True))
        );
    }

    /// <summary>Root mean square of NDVI found − true, over plants in captures.</summary>
    public double NdviError() =>
        Math.Sqrt(
            PlantMeans()
                .Values.Where(plant => plant[Red].Count > 0 && plant[NearInfrared].Count > 0)
                .Average(plant =>
                    Square(
                        Ndvi(plant[NearInfrared].Found, plant[Red].Found)
                            - Ndvi(plant[NearInfrared].True, plant[Red].True)
                    )
                )
        );

    /// <summary>Disagreement of captures about plants that is not real, worst band.</summary>
    public double OverlapRms() => Enumerable.Range(0, RigBand.Five.Count).Max(OverlapRms);

    /// <summary>NDVI of each plant, from its band means over all captures.</summary>
    /// <param name="ofTruth">Of what is true at the captures' own angles, not of what was found.</param>
    public IReadOnlyDictionary<int, double> PlantNdvi(bool ofTruth = false)
    {
        Dictionary<int, double> found = [];
        foreach (var plant in PlantMeans().GroupBy(entry => entry.Key.Plant))
        {
            PlantBand red = Pooled(plant.Select(entry => entry.Value[Red]));
            PlantBand infrared = Pooled(plant.Select(entry => entry.Value[NearInfrared]));
            if (red.Count >= FewestNormalisedWindows && infrared.Count >= FewestNormalisedWindows)
            {
                found[plant.Key] = ofTruth ? Ndvi(infrared.True, red.True) : Ndvi(infrared.Found, red.Found);
            }
        }

        return found;
    }

    /// <summary>
    /// NDVI of each plant from its sunlit leaves alone (decision 0035): windows whose near infrared, as found, reaches a
    /// share of the crown's bright level in that capture; the red window is the one at the same place of the crown.
    /// </summary>
    /// <param name="ofTruth">Of what is true at the captures' own angles, over the same windows.</param>
    public IReadOnlyDictionary<int, double> SunlitNdvi(bool ofTruth = false)
    {
        Dictionary<int, (double Red, double Infrared, int Count)> sums = [];
        foreach (var ((_, plant), pairs) in CrownPairs())
        {
            float[] bright = [.. pairs.Select(pair => pair.Infrared.Found).Order()];
            double limit = SunlitNirShare * bright[(int)(BrightQuantile * (bright.Length - 1))];
            foreach ((WindowSample red, WindowSample infrared) in pairs.Where(pair => pair.Infrared.Found >= limit))
            {
                (double r, double i, int count) = sums.GetValueOrDefault(plant);
                sums[plant] = ofTruth
                    ? (r + red.True, i + infrared.True, count + 1)
                    : (r + red.Found, i + infrared.Found, count + 1);
            }
        }

        return sums.Where(plant => plant.Value.Count >= FewestNormalisedWindows)
            .ToDictionary(plant => plant.Key, plant => Ndvi(plant.Value.Infrared, plant.Value.Red));
    }

    /// <summary>Windows of red and near infrared at the same places of a crown, by capture and plant.</summary>
    private Dictionary<(int Capture, int Plant), List<(WindowSample Red, WindowSample Infrared)>> CrownPairs()
    {
        Dictionary<(int Capture, int Band, int Window), WindowSample> byPlace = All.Where(sample => sample.IsCrown)
            .ToDictionary(sample => ((int)sample.Capture, (int)sample.Band, sample.Window));
        Dictionary<(int, int), List<(WindowSample, WindowSample)>> pairs = [];
        for (int capture = 0; capture < flight.Survey.Count; capture++)
        {
            foreach (
                IGrouping<int, CrownTruth> plant in flight
                    .CrownsOf(flight.Survey[capture].Id)
                    .GroupBy(crown => crown.Plant)
            )
            {
                CrownTruth? red = plant.FirstOrDefault(crown => crown.Band == RigBand.Five[Red].Name);
                CrownTruth? infrared = plant.FirstOrDefault(crown => crown.Band == RigBand.Five[NearInfrared].Name);
                if (red is null || infrared is null)
                {
                    continue;
                }

                double radius = CrownRadiusShare * Math.Sqrt(infrared.Pixels / Math.PI) / FrameTruth.WindowPixels;
                int reach = (int)Math.Ceiling(radius);
                List<(WindowSample, WindowSample)> own = [];
                for (int down = -reach; down <= reach; down++)
                {
                    for (int across = -reach; across <= reach; across++)
                    {
                        if (
                            Square(down) + Square(across) <= radius * radius
                            && byPlace.TryGetValue((capture, Red, WindowAt(red, down, across)), out WindowSample one)
                            && byPlace.TryGetValue(
                                (capture, NearInfrared, WindowAt(infrared, down, across)),
                                out WindowSample other
                            )
                        )
                        {
                            own.Add((one, other));
                        }
                    }
                }

                if (own.Count >= FewestPlantWindows)
                {
                    pairs[(capture, plant.Key)] = own;
                }
            }
        }

        return pairs;
    }

    private int WindowAt(CrownTruth crown, int down, int across) =>
        (((int)(crown.Row / FrameTruth.WindowPixels) + down) * columns)
        + (int)(crown.Column / FrameTruth.WindowPixels)
        + across;

    private double OverlapRms(int band)
    {
        double squares = 0;
        int count = 0;
        foreach (var plant in PlantMeans().GroupBy(entry => entry.Key.Plant))
        {
            double[] off =
            [
                .. plant
                    .Select(entry => entry.Value[band])
                    .Where(seen => seen.Count > 0 && seen.Found > 0 && seen.True > 0)
                    .Select(seen => Math.Log(seen.Found / seen.True)),
            ];
            if (off.Length >= FewestOverlapCaptures)
            {
                double mean = off.Average();
                squares += off.Sum(value => Square(value - mean));
                count += off.Length - 1;
            }
        }

        return Math.Sqrt(squares / count);
    }

    private Dictionary<(int Capture, int Plant), PlantBand[]> PlantMeans()
    {
        Dictionary<(int Capture, int Band, int Window), WindowSample> byPlace = All.Where(sample => sample.IsCrown)
            .ToDictionary(sample => ((int)sample.Capture, (int)sample.Band, sample.Window));
        Dictionary<(int, int), PlantBand[]> plants = [];
        string[] names = [.. RigBand.Five.Select(band => band.Name)];
        for (int capture = 0; capture < flight.Survey.Count; capture++)
        {
            foreach (CrownTruth crown in flight.CrownsOf(flight.Survey[capture].Id))
            {
                int band = Array.IndexOf(names, crown.Band);
                double radius = CrownRadiusShare * Math.Sqrt(crown.Pixels / Math.PI) / FrameTruth.WindowPixels;
                double column = crown.Column / FrameTruth.WindowPixels;
                double row = crown.Row / FrameTruth.WindowPixels;
                double found = 0;
                double real = 0;
                int count = 0;
                for (int r = (int)(row - radius); r <= row + radius; r++)
                {
                    for (int c = (int)(column - radius); c <= column + radius; c++)
                    {
                        if (
                            Square(c + 0.5 - column) + Square(r + 0.5 - row) <= radius * radius
                            && byPlace.TryGetValue((capture, band, (r * columns) + c), out WindowSample sample)
                        )
                        {
                            found += sample.Found;
                            real += sample.True;
                            count++;
                        }
                    }
                }

                if (count >= FewestPlantWindows)
                {
                    if (!plants.TryGetValue((capture, crown.Plant), out PlantBand[]? bands))
                    {
                        plants[(capture, crown.Plant)] = bands = new PlantBand[RigBand.Five.Count];
                    }

                    bands[band] = new PlantBand(found / count, real / count, count);
                }
            }
        }

        return plants;
    }

    private static PlantBand Pooled(IEnumerable<PlantBand> seen)
    {
        PlantBand[] some = [.. seen.Where(band => band.Count > 0)];
        int count = some.Sum(band => band.Count);
        return count == 0
            ? default
            : new PlantBand(
                some.Sum(band => band.Found * band.Count) / count,
                some.Sum(band => band.True * band.Count) / count,
                count
            );
    }

    private static WindowSample[] OfFrame(
        ReflectanceFrames frames,
        NormalisedFrames? normalised,
        string id,
        int capture,
        int band,
        WindowTruth truth
    )
    {
        string name = RigBand.Five[band].Name;
        if (!frames.Has(id, name))
        {
            return [];
        }

        int wide = TrueRig.Columns;
        float[] reflectance = new float[wide * TrueRig.Rows];
        float[] noise = new float[reflectance.Length];
        float[] common = new float[reflectance.Length];
        frames.LoadApart(id, name, reflectance, noise, common);
        normalised?.Normalise(id, name, reflectance, []);
        List<WindowSample> samples = [];
        double focal = TrueRig.NominalFocalMillimetres * 1000 / TrueRig.PixelMicrometres;
        const int Edge = FrameTruth.WindowPixels;
        for (int window = 0; window < truth.Factor.Length; window++)
        {
            int top = window / truth.Columns * Edge;
            int left = window % truth.Columns * Edge;
            double mean = 0;
            double variance = 0;
            double shared = 0;
            for (int row = top; row < top + Edge; row++)
            {
                for (int column = left; column < left + Edge; column++)
                {
                    int at = (row * wide) + column;
                    mean += reflectance[at];
                    variance += (double)noise[at] * noise[at];
                    shared += common[at];
                }
            }

            const int Pixels = Edge * Edge;
            bool crown = truth.CrownShare[window] >= CrownShare;
            bool soil = truth.CrownShare[window] <= SoilShare;
            if (double.IsNaN(mean) || !(crown || soil))
            {
                continue;
            }

            double off = Math.Sqrt(
                Square(left + (Edge / 2) - (TrueRig.Columns / 2.0)) + Square(top + (Edge / 2) - (TrueRig.Rows / 2.0))
            );
            samples.Add(
                new WindowSample(
                    (byte)band,
                    (short)capture,
                    window,
                    (float)(mean / Pixels),
                    truth.Factor[window],
                    (float)(Math.Sqrt(variance) / Pixels),
                    (float)(shared / Pixels),
                    (float)(Math.Atan(off / focal) * 180 / Math.PI),
                    crown,
                    soil
                )
            );
        }

        return [.. samples];
    }

    private static double Ndvi(double infrared, double red) => (infrared - red) / (infrared + red);

    private static double Square(double value) => value * value;

    /// <summary>A plant in one band of one capture; no windows, count 0.</summary>
    private readonly record struct PlantBand(double Found, double True, int Count);
}
