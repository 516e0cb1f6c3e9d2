namespace Hillrow.Handover;

/// <summary>Colours of marks and outlines, the same on page and paper.</summary>
/// <remarks>
/// ColorBrewer YlOrRd and Blues (sequential, colour-blind safe; Harrower &amp; Brewer 2003,
/// doi 10.1179/000870403235002042). Shapes differ too, for grey prints.
/// </remarks>
internal static class MapStyle
{
    public const string LightColour = "#ffeda0";
    public const string ModerateColour = "#feb24c";
    public const string SevereColour = "#f03b20";
    public const string PatchColour = "#bd0026";
    public const string RecoveredColour = "#08519c";
}
