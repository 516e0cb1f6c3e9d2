namespace Hillrow.Earth;

/// <summary>What a height is measured from. Two references are tens of metres apart: convert, never mix.</summary>
public enum VerticalReference
{
    /// <summary>Not said by the source; must be settled, and the assumption told, before any use.</summary>
    Unknown,

    /// <summary>Above the WGS 84 ellipsoid.</summary>
    Ellipsoid,

    /// <summary>Above the EGM96 geoid: close to height above mean sea level.</summary>
    Egm96Geoid,
}
