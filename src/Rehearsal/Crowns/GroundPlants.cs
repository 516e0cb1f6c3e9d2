namespace Hillrow.Rehearsal;

/// <summary>Owner numbers of what grows without being planted; the crop's plants come after them.</summary>
public static class GroundPlants
{
    public const int Grass = 1;
    public const int DryGrass = 2;
    public const int Weed = 3;

    /// <summary>Owner number of the first plant of the crop on a day; shade trees follow the last one.</summary>
    public const int FirstCropOwner = 16;
}
