using System.Runtime.CompilerServices;

namespace Hillrow.Rehearsal;

/// <summary>What a ray met first.</summary>
internal enum SurfaceKind
{
    Ground,
    Shrub,
    Tree,
}

/// <summary>Where a ray ended, with all that shading needs.</summary>
internal struct SurfaceHit
{
    public SurfaceKind Kind;

    /// <summary>Along the ray, unit: the length of its direction.</summary>
    public float Distance;

    /// <summary>The ground behind, whatever stands before it; also the next ray's first try.</summary>
    public GroundPlane Ground;
    public float East;
    public float North;
    public float Up;
    public CellHit Cell;
}

/// <summary>Sends falling rays into a scene at one moment of wind.</summary>
internal readonly unsafe struct SceneTracer(ModelledScene scene, WindSway wind)
{
    private readonly GroundTrace ground = new(scene.Terrain);
    private readonly CellLayer shrubs = scene.Vegetation.Shrubs;
    private readonly CellLayer trees = scene.Vegetation.Trees;
    private readonly CanopyTops shrubTops = scene.ShrubTops;
    private readonly CanopyTops treeTops = scene.TreeTops;
    private readonly WindSway sway = wind;

    /// <param name="hit">Its ground plane, when known, is a neighbouring ray's; receives what this ray meets.</param>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public void Trace(float ox, float oy, float oz, float dx, float dy, float dz, ref SurfaceHit hit)
    {
        float perMetre = -1f / dz;
        float t = ground.Distance(ox, oy, oz, dx, dy, dz, ref hit.Ground);
        float x = ox + (dx * t);
        float y = oy + (dy * t);
        float z = oz + (dz * t);
        hit.Distance = t;
        hit.Kind = SurfaceKind.Ground;
        sway.Lean(x, y, out float leanEast, out float leanNorth);
        // Leaning with height is a shear about the ground: the ray stays straight in the leaves' own space.
        float sx = ox - (leanEast * (oz - z));
        float sy = oy - (leanNorth * (oz - z));
        float sdx = dx - (leanEast * dz);
        float sdy = dy - (leanNorth * dz);
        float run = MathF.Sqrt((dx * dx) + (dy * dy)) * perMetre;
        float top = treeTops.Near(x, y);
        if (top > z)
        {
            top = (top - z) * run > treeTops.ReachMetres ? treeTops.HighestMetres : top;
            float from = float.MaxNative(0, (oz - top) * perMetre);
            if (CellTrace.First(trees, sx, sy, oz, sdx, sdy, dz, from, hit.Distance, ref hit.Cell))
            {
                hit.Distance = hit.Cell.Distance;
                hit.Kind = SurfaceKind.Tree;
            }
        }

        top = shrubTops.Near(x, y);
        if (top > z)
        {
            top = (top - z) * run > shrubTops.ReachMetres ? shrubTops.HighestMetres : top;
            float from = float.MaxNative(0, (oz - top) * perMetre);
            if (CellTrace.First(shrubs, sx, sy, oz, sdx, sdy, dz, from, hit.Distance, ref hit.Cell))
            {
                hit.Distance = hit.Cell.Distance;
                hit.Kind = SurfaceKind.Shrub;
            }
        }

        hit.East = ox + (dx * hit.Distance);
        hit.North = oy + (dy * hit.Distance);
        hit.Up = oz + (dz * hit.Distance);
    }
}
