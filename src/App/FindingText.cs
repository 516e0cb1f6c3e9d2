using System.Globalization;
using Hillrow.Estate;

namespace Hillrow.App;

/// <summary>How a finding's number is said on the command line.</summary>
internal static class FindingText
{
    /// <summary>"8.8 %, 95 % interval 6.4 % to 11.2 %"; a dash when it could not be told.</summary>
    public static string Share(Finding finding) =>
        finding.Value is not { } value ? "–"
        : finding is { Low: { } low, High: { } high }
            ? string.Create(
                CultureInfo.InvariantCulture,
                $"{value * 100:0.0} %, 95 % interval {low * 100:0.0} % to {high * 100:0.0} %"
            )
        : string.Create(CultureInfo.InvariantCulture, $"{value * 100:0.0} %");

    /// <summary>Value with unit and interval: "0.59 m/month (95 % interval 0.55 to 0.63)".</summary>
    public static string Number(Finding finding)
    {
        if (finding.Value is not { } value)
        {
            return "could not be told";
        }

        string unit = finding.Unit is "" or "1" ? "" : $" {finding.Unit}";
        string number = value.ToString(Math.Abs(value) >= 1000 ? "0.##" : "G6", CultureInfo.InvariantCulture);
        return finding is { Low: { } low, High: { } high }
            ? string.Create(CultureInfo.InvariantCulture, $"{number}{unit} (95 % interval {low:G4} to {high:G4})")
            : number + unit;
    }
}
