using System.Globalization;
using System.Security.Cryptography;
using System.Text;

namespace Hillrow.Rehearsal;

/// <summary>What a flight was asked to be, to tell whether a card may be gone on with.</summary>
internal sealed record AskedFlight(
    string Dialect,
    string Card,
    DateOnly Date,
    DateTimeOffset? Start,
    int Captures,
    double HeightMetres,
    double CloudCover,
    int Samples,
    int Columns,
    int Rows,
    string? Plan,
    double CloudTransmittance = AskedFlight.UsualCloudTransmittance
)
{
    /// <summary>Of flights that do not say.</summary>
    public const double UsualCloudTransmittance = 0.3;

    public static AskedFlight Of(CardFlightSettings settings, string cardFolder) =>
        new(
            settings.Dialect.Name,
            Path.GetFullPath(cardFolder),
            settings.Date,
            settings.Start,
            settings.Captures,
            settings.HeightMetres,
            settings.CloudCover,
            settings.Samples,
            settings.Columns,
            settings.Rows,
            settings.Plan is { } plan ? Digest(plan) : null,
            settings.CloudTransmittance
        );

    private static string Digest(IReadOnlyList<PlannedCapture> plan) =>
        Convert.ToHexString(
            SHA256.HashData(
                Encoding.UTF8.GetBytes(
                    string.Join(
                        '\n',
                        plan.Select(at =>
                            string.Create(
                                CultureInfo.InvariantCulture,
                                $"{at.Seconds:R} {at.PositionMetres.X:R} {at.PositionMetres.Y:R} {at.PositionMetres.Z:R} {at.YawDegrees:R} {at.Line}"
                            )
                        )
                    )
                )
            )
        );
}
