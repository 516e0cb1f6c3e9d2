using Hillrow.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>What a frame truly shows, pixel by pixel, at pixel centres; rows × columns, row-major.</summary>
/// <param name="DepthMetres">Along the optical axis from the lens to the first surface.</param>
/// <param name="GroundDepthMetres">The same to the ground behind it.</param>
/// <param name="PlantNumber">Number of the plant seen; 0 none, −1 grass or weed, −2 shade tree.</param>
/// <param name="Material">Ground material; 255 where leaves or wood are seen.</param>
public sealed record CaptureMaps(float[] DepthMetres, float[] GroundDepthMetres, int[] PlantNumber, byte[] Material)
{
    public const int LowPlant = -1;

    public const int ShadeTreePlant = -2;

    /// <param name="wind">As in the frame itself.</param>
    public static CaptureMaps Of(
        ModelledScene scene,
        RigLens lens,
        RigPose pose,
        WindSway wind,
        int threads,
        int columns = TrueRig.Columns,
        int rows = TrueRig.Rows
    )
    {
        ArgumentNullException.ThrowIfNull(scene);
        ArgumentNullException.ThrowIfNull(lens);
        SceneTracer tracer = new(scene, wind);
        SurfaceShader shader = new(scene, 0, wind);
        LensLattice lattice = new(lens.Lens, columns, rows);
        Matrix3D turn = lens.CameraToLocal(pose);
        Vector3D centre = lens.Centre(pose);
        CaptureMaps maps = new(
            new float[columns * rows],
            new float[columns * rows],
            new int[columns * rows],
            new byte[columns * rows]
        );
        Parallel.For(
            0,
            rows,
            new ParallelOptions { MaxDegreeOfParallelism = threads },
            row =>
            {
                SurfaceHit hit = default;
                for (int column = 0; column < columns; column++)
                {
                    lattice.At(column + 0.5f, row + 0.5f, out float x, out float y, out _, out _, out _, out _);
                    Vector3D d = turn * new Vector3D(x, y, 1);
                    tracer.Trace(
                        (float)centre.X,
                        (float)centre.Y,
                        (float)centre.Z,
                        (float)d.X,
                        (float)d.Y,
                        (float)Math.Min(d.Z, -0.05),
                        ref hit
                    );
                    int at = (row * columns) + column;
                    maps.DepthMetres[at] = hit.Distance;
                    maps.GroundDepthMetres[at] = ((float)centre.Z - hit.Ground.Up) / (float)-Math.Min(d.Z, -0.05);
                    maps.PlantNumber[at] = scene.PlantNumberAt(hit);
                    maps.Material[at] =
                        hit.Kind == SurfaceKind.Ground ? (byte)shader.MaterialAt(hit.East, hit.North) : (byte)255;
                }
            }
        );
        return maps;
    }
}
