namespace Hillrow.Validation.Findings;

/// <summary>How many of how many.</summary>
internal sealed class Share
{
    private int yes;
    private int all;

    /// <summary>NaN when none was counted.</summary>
    public double Value => all == 0 ? double.NaN : (double)yes / all;

    public void Add(bool isSo, bool counts = true)
    {
        all += counts ? 1 : 0;
        yes += counts && isSo ? 1 : 0;
    }
}
