using Hillrow.Imaging;

namespace Hillrow.Mapping;

/// <summary>What the files of a map say of themselves.</summary>
internal sealed record MapLabels(
    RasterLabel Reflectance,
    RasterLabel Sigma,
    RasterLabel Capture,
    RasterLabel View,
    RasterLabel Shadow,
    RasterLabel? NadirFactor
)
{
    public const ushort NoCapture = ushort.MaxValue;
    public const byte NoByte = byte.MaxValue;

    /// <summary>Degrees of one step of the view zenith layer.</summary>
    public const double ZenithStepDegrees = 0.5;

    public static MapLabels Of(MappingInput input)
    {
        IReadOnlyList<string> bands = input.Frames.Bands;
        return new MapLabels(
            input.Coding?.ValueLabel(input.Grid, bands)
                ?? new RasterLabel(
                    input.Grid,
                    [.. bands.Select(band => new BandLabel(band, "", ReflectanceCode.Scale))]
                )
                {
                    NoData = ReflectanceCode.Missing,
                    Items = Meaning("reflectance factor 0 … 1; each cell of all bands from one capture"),
                },
            input.Coding?.SigmaLabel(input.Grid, bands)
                ?? new RasterLabel(input.Grid, [.. bands.Select(band => new BandLabel(band))])
                {
                    NoData = 0,
                    Items = Meaning("standard error of reflectance, logarithmic; " + SigmaCode.Description),
                },
            RasterLabel.OfOneBand(input.Grid, "capture") with
            {
                NoData = NoCapture,
                Items = Meaning("position of the capture in the survey's list, from 0"),
            },
            new RasterLabel(
                input.Grid,
                [
                    new BandLabel("view zenith", "degree", ZenithStepDegrees),
                    new BandLabel("azimuth between camera and sun", "degree"),
                ]
            )
            {
                NoData = NoByte,
                Items = Meaning("angles at the surface, constant within a patch; azimuth 0: camera on the sun's side"),
            },
            RasterLabel.OfOneBand(input.Grid, "shadow") with
            {
                NoData = NoByte,
                Items = Meaning("0 sunlit, 1 in cast shadow of the surface at the moment of the cell's capture"),
            },
            input.Normalisation is not { } turned
                ? null
                : new RasterLabel(input.Grid, [.. bands.Select(band => new BandLabel(band, "", NadirFactorCode.Scale))])
                {
                    NoData = NadirFactorCode.Missing,
                    Items = Meaning(
                        FormattableString.Invariant(
                            $"reflectance times this is as under a sun {turned.SunZenithDegrees:0.#} degrees from the zenith, seen from straight above; by each cell's own share of canopy"
                        )
                    ),
                }
        );
    }

    private static Dictionary<string, string> Meaning(string text) => new() { ["meaning"] = text };
}
