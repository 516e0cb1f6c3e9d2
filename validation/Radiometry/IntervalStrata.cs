using Hillrow.Numerics.Distributions;
using Hillrow.Rehearsal;

namespace Hillrow.Validation.Radiometry;

/// <summary>Coverage and width of 90 % intervals by band × cloud × view × brightness × crown or soil (decision 0033).</summary>
internal sealed class IntervalStrata
{
    private const double CertificateSigma = 0.01;
    private const int CertificateDraws = 19;
    private const double Ninety = 1.6449;
    private const int FewestWindows = 300;

    private readonly Dictionary<(int Band, bool Cloud, int View, bool Bright, bool Crown), Stratum> strata = [];

    /// <summary>Errors of the certificate at the normal quantiles 0.05, 0.10 … 0.95, as shares.</summary>
    public static IReadOnlyList<double> CertificateErrors { get; } =
    [
        .. Enumerable
            .Range(1, CertificateDraws)
            .Select(draw => CertificateSigma * NormalDistribution.Quantile(draw / (CertificateDraws + 1.0))),
    ];

    /// <param name="samples">Of a flight.</param>
    /// <param name="cloud">Whether clouds passed.</param>
    /// <param name="drawnCertificate">Certified over true by band: it is divided out, and drawn anew.</param>
    public void Add(FlightSamples samples, bool cloud, IReadOnlyList<double> drawnCertificate)
    {
        for (int band = 0; band < RigBand.Five.Count; band++)
        {
            foreach (bool crown in new[] { true, false })
            {
                WindowSample[] some =
                [
                    .. samples.All.Where(sample => sample.Band == band && (crown ? sample.IsCrown : sample.IsSoil)),
                ];
                if (some.Length == 0)
                {
                    continue;
                }

                float[] sorted = [.. some.Select(sample => sample.True).Order()];
                float middle = sorted[sorted.Length / 2];
                foreach (WindowSample sample in some)
                {
                    int view =
                        sample.OffAxisDegrees < 10 ? 0
                        : sample.OffAxisDegrees < 20 ? 1
                        : 2;
                    Of((band, cloud, view, sample.True >= middle, crown)).Add(sample, drawnCertificate[band]);
                }
            }
        }
    }

    public IEnumerable<(string Name, double Coverage, double WidthRatio)> Results() =>
        strata
            .Where(entry => entry.Value.Windows >= FewestWindows)
            .OrderBy(entry => entry.Key)
            .Select(entry =>
                (
                    $"{RigBand.Five[entry.Key.Band].Name}, {(entry.Key.Cloud ? "cloud" : "clear")}, view {entry.Key.View}, {(entry.Key.Bright ? "bright" : "dark")} {(entry.Key.Crown ? "crown" : "soil")}",
                    entry.Value.Coverage,
                    entry.Value.WidthRatio
                )
            );

    private Stratum Of((int, bool, int, bool, bool) key)
    {
        if (!strata.TryGetValue(key, out Stratum? stratum))
        {
            strata[key] = stratum = new Stratum();
        }

        return stratum;
    }

    private sealed class Stratum
    {
        private long inside;
        private long draws;
        private double squares;
        private double widths;

        public long Windows => draws / CertificateDraws;

        public double Coverage => inside / (double)draws;

        public double WidthRatio => widths / draws / (2 * Ninety * Math.Sqrt(squares / draws));

        public void Add(WindowSample sample, double drawnCertificate)
        {
            foreach (double error in CertificateErrors)
            {
                double scale = (1 + error) / drawnCertificate;
                double off = (sample.Found * scale) - sample.True;
                double sigma = Math.Sqrt(
                    ((double)sample.NoiseSigma * sample.NoiseSigma) + ((double)sample.CommonSigma * sample.CommonSigma)
                );
                inside += Math.Abs(off) <= Ninety * sigma ? 1 : 0;
                squares += off * off;
                widths += 2 * Ninety * sigma;
                draws++;
            }
        }
    }
}
