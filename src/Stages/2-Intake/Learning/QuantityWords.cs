using Hillrow.Imaging;

namespace Hillrow.Intake;

/// <summary>How strongly a property's name speaks for a quantity: plain words of the trade, none of any maker.</summary>
internal static class QuantityWords
{
    /// <summary>Below this a name says nothing.</summary>
    public const double Telling = 2;

    private const string Light =
        "irradiance irr downwelling skylight daylight sunlight skyward incident insolation ambient sky sun upward uplooking light lightsensor downwell";
    private const string Motion = "yaw pitch roll heading hdg azimuth bank climb tilt attitude orientation";

    private static readonly Dictionary<FrameQuantity, (string Strong, string Weak, string Against)> Known = new()
    {
        [FrameQuantity.Exposure] = (
            "exposure integration shutter tint inttime exptime exposuretime integrationtime",
            "open time opentime exp",
            $"mode program bias index compensation auto iso gain min max date gps {Light}"
        ),
        [FrameQuantity.Gain] = (
            "gain amplification amplifier amplif amp boost analoggain",
            "analog analogue digital sensor",
            $"mode control auto max min {Light} {Motion}"
        ),
        [FrameQuantity.Iso] = ("iso isospeed filmspeed", "speed sensitivity", "mode isolation auto"),
        [FrameQuantity.Yaw] = (
            "yaw heading hdg azimuth kappa bearing",
            "nose north turn angle compass",
            $"rate speed sigma error accuracy std {Light} track course solar"
        ),
        [FrameQuantity.Pitch] = (
            "pitch tilt climb inclination",
            "nose up angle",
            $"rate speed sigma error accuracy std pixel micron {Light}"
        ),
        [FrameQuantity.Roll] = (
            "roll bank",
            "wing right angle",
            $"rate speed sigma error accuracy std rolling {Light}"
        ),
        [FrameQuantity.Irradiance] = (
            "irradiance downwelling skylight daylight sunlight skyward insolation",
            "light sky incident ambient above sun spectral irr upward",
            $"{Motion} gain exposure integration shutter time temperature serial unit units angle mode zenith elevation latitude longitude version model id"
        ),
        [FrameQuantity.IrradianceYaw] = ("yaw heading hdg azimuth", "nose north", "rate solar"),
        [FrameQuantity.IrradiancePitch] = ("pitch tilt climb", "nose", "rate"),
        [FrameQuantity.IrradianceRoll] = ("roll bank", "wing", "rate"),
        [FrameQuantity.CaptureId] = (
            "capture trigger shot captureid shotid triggerid exposureid imageset",
            "id uuid guid uid key number sequence frame counter count set event no num group image",
            "time date band channel serial document instance mode rate flight sortie interval"
        ),
        [FrameQuantity.BandName] = (
            "band channel colour color filter bandname",
            "name label spectral title",
            "id number index width central centre center wavelength count bandwidth fwhm"
        ),
        [FrameQuantity.BandNumber] = (
            "band channel filter bandindex bandnumber bandid",
            "number index page id no num slot position lens",
            "width central centre center wavelength fwhm count name"
        ),
        [FrameQuantity.CentreWavelength] = (
            "wavelength lambda centralwavelength wl nanometers nanometres",
            "central centre center middle peak nm mean band colour color channel spectral mid",
            "width fwhm span bandwidth gain range"
        ),
        [FrameQuantity.BandWidth] = (
            "fwhm bandwidth width span passband",
            "band full half colour color wavelength",
            "image pixel strip sensor height"
        ),
        [FrameQuantity.BlackLevel] = (
            "black dark pedestal blacklevel darklevel",
            "level bias offset",
            "time gain date"
        ),
        [FrameQuantity.Bits] = (
            "bits bit bitdepth depth",
            "true significant sample adc",
            "rate bitrate placement shift"
        ),
        [FrameQuantity.PanelMarker] = (
            "panel board target marker plaque",
            "reference calibration view grey gray seen",
            "irradiance altitude direction reflectance"
        ),
        [FrameQuantity.SerialNumber] = (
            "serial serialnumber",
            "camera sensor number sn unit body",
            $"{Light} lens panel"
        ),
        [FrameQuantity.Latitude] = ("latitude lat", "gps position", "ref home base sigma accuracy"),
        [FrameQuantity.Longitude] = ("longitude lon lng long", "gps position", "ref home base sigma accuracy"),
        [FrameQuantity.Height] = (
            "altitude height elevation hgt alt",
            "level gps position ellipsoidal ellipsoid msl absolute asl",
            "ref relative rel agl ground takeoff above image pixel sigma accuracy home sun solar width rows error"
        ),
        [FrameQuantity.HorizontalSigma] = (
            "sigma accuracy stddev std stdev precision uncertainty error rms cep",
            "horizontal xy hor position gps where plane lateral",
            "vertical z height altitude yaw pitch roll heading time"
        ),
        [FrameQuantity.VerticalSigma] = (
            "sigma accuracy stddev std stdev precision uncertainty error rms",
            "vertical z ver height altitude",
            "horizontal xy yaw pitch roll heading time"
        ),
        [FrameQuantity.Temperature] = ("temperature temp", "sensor camera imager", $"colour color {Light} white"),
        [FrameQuantity.FocalLength] = ("focal focallength", "length lens mm", "plane equivalent35 film 35"),
        [FrameQuantity.FNumber] = ("fnumber aperture fstop", "", "max"),
    };

    /// <summary>0 or less: the name does not speak for the quantity; 2 and more: it does.</summary>
    public static double Score(FrameQuantity quantity, IReadOnlyList<string> words)
    {
        if (!Known.TryGetValue(quantity, out (string Strong, string Weak, string Against) known))
        {
            return 0;
        }

        double score =
            (2 * Count(known.Strong, words, joined: true)) + (0.75 * Count(known.Weak, words, joined: false));
        score -= 2 * Count(known.Against, words, joined: false);
        bool light = IsLight(words);
        if (quantity is FrameQuantity.IrradianceYaw or FrameQuantity.IrradiancePitch or FrameQuantity.IrradianceRoll)
        {
            score = light ? score + 1 : 0;
        }

        // A shorter name says it more plainly.
        return score - (0.02 * words.Count);
    }

    public static bool IsLight(IReadOnlyList<string> words) => Count(Light, words, joined: true) > 0;

    private static int Count(string list, IReadOnlyList<string> words, bool joined)
    {
        string[] wanted = list.Split(' ', StringSplitOptions.RemoveEmptyEntries);
        int hits = words.Distinct().Count(word => wanted.Contains(word));
        if (hits == 0 && joined)
        {
            string whole = string.Concat(words);
            hits = wanted.Any(word =>
                (word.Length >= 6 && whole.Contains(word, StringComparison.Ordinal)) || whole == word
            )
                ? 1
                : 0;
        }

        return hits;
    }
}
