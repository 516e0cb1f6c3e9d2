namespace Hillrow.Imaging;

/// <summary>Statistics of one band's stored numbers, no-data cells left out.</summary>
public sealed record BandStatistics(double Minimum, double Maximum, double Mean, double StandardDeviation);
