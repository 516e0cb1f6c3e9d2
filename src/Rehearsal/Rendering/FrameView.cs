using System.Runtime.Intrinsics;
using Hillrow.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>One frame's constants, shared by its tiles.</summary>
internal sealed class FrameView
{
    private const int FactorStep = 16;
    private readonly FrameRenderer of;
    private readonly SceneTracer tracer;
    private readonly SurfaceShader shader;
    private readonly PacketTracer packetTracer;
    private readonly PacketShader packetShader;
    private readonly Vector256<float>[] angular;
    private readonly int angularNodes;
    private readonly CloudShadow clouds;
    private readonly float[] turn;
    private readonly Vector3D origin;
    private readonly Vector3D travel;
    private readonly float direct;
    private readonly float diffuse;
    private readonly float haze;
    private readonly uint seed;
    private readonly SampleGrid grid;
    private readonly bool ofSurface;
    private readonly bool inPackets;
    private readonly PanelBoard? panel;

    public FrameView(
        FrameRenderer of,
        RigPose pose,
        Vector3D travel,
        double seconds,
        WindSway wind,
        FrameSettings settings,
        SampleGrid grid,
        PanelBoard? panel
    )
    {
        this.of = of;
        this.panel = panel;
        ofSurface = settings.OfSurface;
        inPackets = PacketTracer.IsSupported && !settings.OneByOne;
        this.travel = travel;
        this.grid = grid;
        LightState light = of.Scene.Light;
        tracer = new SceneTracer(of.Scene, wind);
        shader = new SurfaceShader(of.Scene, of.BandIndex, wind);
        packetTracer = new PacketTracer(of.Scene, wind);
        packetShader = new PacketShader(of.Scene, of.BandIndex, shader);
        BandIrradiance band = light.Bands[of.BandIndex];
        direct = (float)(band.DirectHorizontal / band.Total);
        diffuse = (float)(band.Diffuse / band.Total * light.Clouds.SkyFactor(seconds));
        haze = !settings.OfSurface ? (float)light.HazePerHundredMetres[of.BandIndex] : 0;
        clouds = new CloudShadow(of.Scene.Terrain.Extent, light.Clouds, seconds);
        origin = of.Lens.Centre(pose);
        Matrix3D m = of.Lens.CameraToLocal(pose);
        turn =
        [
            (float)m.M11,
            (float)m.M12,
            (float)m.M13,
            (float)m.M21,
            (float)m.M22,
            (float)m.M23,
            (float)m.M31,
            (float)m.M32,
            (float)m.M33,
        ];
        seed = LatticeNoise.Hash(settings.CaptureNumber, of.BandIndex, unchecked((uint)settings.Seed));
        angularNodes = (of.Columns / FactorStep) + 2;
        angular = Angular(m, light.TowardsSun);
    }

    public void Tile(int firstColumn, int firstRow, float[] samples, FrameTally.Part? sums)
    {
        unchecked
        {
            // Hot loop: indices are bounded by the grid, hashes wrap by design.
            int lastColumn = Math.Min(firstColumn + FrameRenderer.TileColumns, grid.Columns);
            int lastRow = Math.Min(firstRow + FrameRenderer.TileRows, grid.Rows);
            PacketTracer trace = packetTracer;
            PacketShader shade = packetShader;
            PacketHit hit = default;
            RayPacket rays = default;
            PacketLight light = default;
            light.Diffuse = diffuse;
            light.Direct = direct;
            float cell = 1f / grid.Side;
            GroundPlane above = default;
            for (int row = firstRow; row < lastRow; row += RayPacket.Rows)
            {
                // Each row starts from the ground that the row above found at the same column.
                hit.Ground = above;
                for (int column = firstColumn; column < lastColumn; column += RayPacket.Columns)
                {
                    float middleColumn = ((column + 2) * cell) - 1;
                    float middleRow = ((row + 1) * cell) - 1;
                    Aim(middleColumn, middleRow, column, row, cell, ref rays, ref light);
                    light.Angular = AngularAt(middleColumn, middleRow);
                    Vector256<float> factors;
                    if (inPackets)
                    {
                        trace.Trace(rays, ref hit);
                        if (clouds.IsCloudy)
                        {
                            // Shadow edges are tens of metres wide.
                            light.Direct = direct * clouds.At(hit.Ground.East, hit.Ground.North);
                        }

                        factors = shade.Shade(hit, light);
                    }
                    else
                    {
                        factors = OneByOne(rays, ref light, ref hit);
                    }

                    if (panel is not null)
                    {
                        factors = OverPanel(factors, rays, light);
                    }

                    float perIrradiance = 1f / (light.Direct + light.Diffuse);
                    sums?.Take(column, row, factors * perIrradiance, hit);
                    if (ofSurface)
                    {
                        factors *= perIrradiance;
                    }
                    else
                    {
                        Vector256<float> air = hit.Distance * (haze * 0.01f);
                        factors = (factors * (Vector256<float>.One - (air * 1.5f))) + air;
                    }

                    int at = (row * grid.Columns) + column;
                    factors.GetLower().CopyTo(samples, at);
                    factors.GetUpper().CopyTo(samples, at + grid.Columns);
                    if (column == firstColumn)
                    {
                        above = hit.Ground;
                    }
                }
            }
        }
    }

    /// <summary>Rays of a patch of samples, each drawn within its own cell and moment of the exposure.</summary>
    private void Aim(
        float middleColumn,
        float middleRow,
        int column,
        int row,
        float cell,
        ref RayPacket rays,
        ref PacketLight light
    )
    {
        unchecked
        {
            // Hashes wrap by design.
            of.Lattice.At(
                middleColumn,
                middleRow,
                out float x,
                out float y,
                out float xPerColumn,
                out float yPerColumn,
                out float xPerRow,
                out float yPerRow
            );
            uint upper = LatticeNoise.Mix(((uint)row * 0x85ebca77u) + seed);
            uint lower = LatticeNoise.Mix(((uint)(row + 1) * 0x85ebca77u) + seed);
            Vector256<uint> lane = Vector256.Create(0u, 1, 2, 3, 0, 1, 2, 3);
            Vector256<uint> draw = PacketNoise.Mix(
                ((lane + Vector256.Create((uint)column)) * 0x9e3779b1u)
                    ^ Vector256.Create(Vector128.Create(upper), Vector128.Create(lower))
            );
            Vector256<float> u = Number(draw & Vector256.Create(0xffffu)) * (1f / 65536f);
            Vector256<float> v = Number(draw >>> 16) * (1f / 65536f);
            Vector256<float> when = (Number((draw * 0x9e3779b1u) >>> 8) * (1f / 16777216f)) - Vector256.Create(0.5f);
            Vector256<float> across = (Vector256.Create(-2f, -1, 0, 1, -2, -1, 0, 1) + u) * cell;
            Vector256<float> down = (Vector256.Create(-1f, -1, -1, -1, 0, 0, 0, 0) + v) * cell;
            Vector256<float> rx = Vector256.Create(x) + (across * xPerColumn) + (down * xPerRow);
            Vector256<float> ry = Vector256.Create(y) + (across * yPerColumn) + (down * yPerRow);
            rays.DirectionX = (rx * turn[0]) + (ry * turn[1]) + Vector256.Create(turn[2]);
            rays.DirectionY = (rx * turn[3]) + (ry * turn[4]) + Vector256.Create(turn[5]);
            rays.DirectionZ = Vector256.MinNative(
                (rx * turn[6]) + (ry * turn[7]) + Vector256.Create(turn[8]),
                Vector256.Create(-0.05f)
            );
            rays.OriginX = Vector256.Create((float)origin.X) + (when * (float)travel.X);
            rays.OriginY = Vector256.Create((float)origin.Y) + (when * (float)travel.Y);
            rays.OriginZ = Vector256.Create((float)origin.Z) + (when * (float)travel.Z);
            rays.Spread =
                cell
                * (MathF.Abs(xPerRow) + MathF.Abs(yPerRow) + (2 * MathF.Abs(xPerColumn)) + (2 * MathF.Abs(yPerColumn)));
            float perLength = -1f / MathF.Sqrt((x * x) + (y * y) + 1);
            light.ViewX = rays.DirectionX * perLength;
            light.ViewY = rays.DirectionY * perLength;
            light.ViewZ = rays.DirectionZ * perLength;
        }
    }

    private static Vector256<float> Number(Vector256<uint> value) => Vector256.ConvertToSingle(value.AsInt32());

    /// <summary>The plain way: for machines without these instructions, and as the judge of the packets.</summary>
    private Vector256<float> OneByOne(in RayPacket rays, ref PacketLight light, ref PacketHit hit)
    {
        SceneTracer trace = tracer;
        SurfaceShader shade = shader;
        Vector256<float> factors = default;
        Span<SurfaceHit> hits = stackalloc SurfaceHit[RayPacket.Lanes];
        for (int lane = 0; lane < RayPacket.Lanes; lane++)
        {
            hits[lane].Ground = hit.Ground;
            trace.Trace(
                rays.OriginX.GetElement(lane),
                rays.OriginY.GetElement(lane),
                rays.OriginZ.GetElement(lane),
                rays.DirectionX.GetElement(lane),
                rays.DirectionY.GetElement(lane),
                rays.DirectionZ.GetElement(lane),
                ref hits[lane]
            );
            hit.Distance = hit.Distance.WithElement(lane, hits[lane].Distance);
            hit.IsShrub = hit.IsShrub.WithElement(lane, hits[lane].Kind == SurfaceKind.Shrub ? -1 : 0);
            hit.Index = hit.Index.WithElement(lane, hits[lane].Cell.Index);
        }

        hit.Ground = hits[2].Ground;
        light.Direct = clouds.IsCloudy ? direct * clouds.At(hit.Ground.East, hit.Ground.North) : direct;
        for (int lane = 0; lane < RayPacket.Lanes; lane++)
        {
            float factor = shade.Shade(
                hits[lane],
                light.ViewX.GetElement(lane),
                light.ViewY.GetElement(lane),
                light.ViewZ.GetElement(lane),
                light.Direct,
                light.Diffuse,
                light.Angular
            );
            factors = factors.WithElement(lane, factor);
        }

        return factors;
    }

    private Vector256<float> OverPanel(Vector256<float> beside, in RayPacket rays, in PacketLight light)
    {
        for (int lane = 0; lane < RayPacket.Lanes; lane++)
        {
            float dz = rays.DirectionZ.GetElement(lane);
            float distance = ((float)panel!.CentreMetres.Z - rays.OriginZ.GetElement(lane)) / dz;
            float reflectance = panel.ReflectanceAt(
                rays.OriginX.GetElement(lane) + (rays.DirectionX.GetElement(lane) * distance),
                rays.OriginY.GetElement(lane) + (rays.DirectionY.GetElement(lane) * distance),
                of.BandIndex,
                light.ViewZ.GetElement(lane)
            );
            if (reflectance >= 0)
            {
                beside = beside.WithElement(lane, reflectance * (light.Direct + light.Diffuse));
            }
        }

        return beside;
    }

    private Vector256<float> AngularAt(float middleColumn, float middleRow)
    {
        unchecked
        {
            // Clamped into the picture.
            float column = Math.Clamp(middleColumn, 0, of.Columns);
            float row = Math.Clamp(middleRow, 0, of.Rows);
            int node = (int)column / FactorStep;
            int line = (int)row / FactorStep;
            float fx = (column - (node * FactorStep)) * (1f / FactorStep);
            float fy = (row - (line * FactorStep)) * (1f / FactorStep);
            int at = (line * angularNodes) + node;
            Vector256<float> low = angular[at] + ((angular[at + 1] - angular[at]) * fx);
            Vector256<float> high =
                angular[at + angularNodes] + ((angular[at + angularNodes + 1] - angular[at + angularNodes]) * fx);
            return low + ((high - low) * fy);
        }
    }

    private Vector256<float>[] Angular(Matrix3D cameraToLocal, Vector3D towardsSun)
    {
        int lines = (of.Rows / FactorStep) + 2;
        Vector256<float>[] nodes = new Vector256<float>[angularNodes * lines];
        for (int line = 0; line < lines; line++)
        {
            for (int node = 0; node < angularNodes; node++)
            {
                of.Lattice.At(
                    Math.Min(node * FactorStep, of.Columns),
                    Math.Min(line * FactorStep, of.Rows),
                    out float x,
                    out float y,
                    out _,
                    out _,
                    out _,
                    out _
                );
                Vector3D towardsViewer = -(cameraToLocal * new Vector3D(x, y, 1)).Normalized();
                nodes[(line * angularNodes) + node] = GroundAngles.All(of.BandIndex, towardsSun, towardsViewer);
            }
        }

        return nodes;
    }
}
