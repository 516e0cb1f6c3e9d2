using System.Runtime.Intrinsics;
using Hillrow.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>How a frame is rendered.</summary>
/// <param name="Samples">Rays per pixel; a square number, at least 1; the rehearsal promises 4 or more.</param>
/// <param name="Seed">Of the flight.</param>
/// <param name="CaptureNumber">Draws change from capture to capture.</param>
/// <param name="OfSurface">
/// False: what arrives at the lens, haze and clouds included, over the clear-sky irradiance. True: the surface's own
/// reflectance factor towards the lens, over the irradiance that its place has at this moment.
/// </param>
/// <param name="Threads">The picture does not depend on it.</param>
public sealed record FrameSettings(int Samples, ulong Seed, int CaptureNumber, bool OfSurface, int Threads);

/// <summary>Renders one lens's view of a scene by casting rays.</summary>
public sealed class FrameRenderer
{
    private const int TileColumns = 96;
    private const int TileRows = 16;
    private const int FactorStep = 16;
    private readonly ModelledScene scene;
    private readonly RigLens lens;
    private readonly int bandIndex;
    private readonly LensLattice lattice;
    private readonly int columns;
    private readonly int rows;

    public FrameRenderer(ModelledScene scene, RigLens lens, int columns = TrueRig.Columns, int rows = TrueRig.Rows)
    {
        ArgumentNullException.ThrowIfNull(scene);
        ArgumentNullException.ThrowIfNull(lens);
        this.scene = scene;
        this.lens = lens;
        this.columns = columns;
        this.rows = rows;
        bandIndex = RigBand.Five.ToList().IndexOf(lens.Band);
        lattice = new LensLattice(lens.Lens, columns, rows);
    }

    /// <summary>
    /// Renders π × radiance / clear-sky irradiance at the lens, antialiased with the lens's blur.
    /// </summary>
    /// <param name="pose">Of the rig at mid exposure; must look down (no ray near the horizon).</param>
    /// <param name="travelMetres">Motion of the rig while the shutter is open.</param>
    /// <param name="seconds">Since the start of the flight: places the clouds.</param>
    /// <param name="factors">Receives rows × columns.</param>
    /// <param name="panel">A reference panel that lies in the scene.</param>
    public void Render(
        RigPose pose,
        Vector3D travelMetres,
        double seconds,
        WindSway wind,
        FrameSettings settings,
        float[] factors,
        PanelBoard? panel = null
    )
    {
        ArgumentNullException.ThrowIfNull(wind);
        ArgumentNullException.ThrowIfNull(settings);
        ArgumentNullException.ThrowIfNull(factors);
        if (factors.Length != columns * rows)
        {
            throw new ArgumentException($"{factors.Length} values for {columns} x {rows} pixels.", nameof(factors));
        }

        int side = (int)Math.Round(Math.Sqrt(settings.Samples));
        if (side * side != settings.Samples)
        {
            throw new ArgumentException($"{settings.Samples} samples is not a square number.", nameof(settings));
        }

        View view = new(this, pose, travelMetres, seconds, wind, settings, side, panel);
        int acrossTiles = (columns + TileColumns - 1) / TileColumns;
        int downTiles = (rows + TileRows - 1) / TileRows;
        Parallel.For(
            0,
            acrossTiles * downTiles,
            new ParallelOptions { MaxDegreeOfParallelism = settings.Threads },
            tile => view.Tile(tile % acrossTiles * TileColumns, tile / acrossTiles * TileRows, factors)
        );
    }

    /// <summary>One frame's constants, shared by its tiles.</summary>
    private sealed class View
    {
        private readonly FrameRenderer of;
        private readonly SceneTracer tracer;
        private readonly SurfaceShader shader;
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
        private readonly int side;
        private readonly bool ofSurface;
        private readonly PanelBoard? panel;

        public View(
            FrameRenderer of,
            RigPose pose,
            Vector3D travel,
            double seconds,
            WindSway wind,
            FrameSettings settings,
            int side,
            PanelBoard? panel
        )
        {
            this.of = of;
            this.panel = panel;
            ofSurface = settings.OfSurface;
            this.travel = travel;
            this.side = side;
            LightState light = of.scene.Light;
            tracer = new SceneTracer(of.scene, wind);
            shader = new SurfaceShader(of.scene, of.bandIndex, wind);
            BandIrradiance band = light.Bands[of.bandIndex];
            direct = (float)(band.DirectHorizontal / band.Total);
            diffuse = (float)(band.Diffuse / band.Total * light.Clouds.SkyFactor(seconds));
            haze = !settings.OfSurface ? (float)light.HazePerHundredMetres[of.bandIndex] : 0;
            clouds = new CloudShadow(of.scene.Terrain.Extent, light.Clouds, seconds);
            origin = of.lens.Centre(pose);
            Matrix3D m = of.lens.CameraToLocal(pose);
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
            seed = LatticeNoise.Hash(settings.CaptureNumber, of.bandIndex, unchecked((uint)settings.Seed));
            angularNodes = (of.columns / FactorStep) + 2;
            angular = Angular(m, light.TowardsSun);
        }

        public void Tile(int firstColumn, int firstRow, float[] factors)
        {
            unchecked
            {
                // Hot loop: indices are bounded by the picture, hashes wrap by design.
                int lastColumn = Math.Min(firstColumn + TileColumns, of.columns);
                int lastRow = Math.Min(firstRow + TileRows, of.rows);
                SceneTracer rays = tracer;
                SurfaceShader shade = shader;
                SurfaceHit hit = default;
                float blur = (float)of.lens.BlurPixels;
                float cell = 1f / side;
                float share = cell * cell;
                float ox = (float)origin.X;
                float oy = (float)origin.Y;
                float oz = (float)origin.Z;
                float tx = (float)travel.X;
                float ty = (float)travel.Y;
                float tz = (float)travel.Z;
                float m11 = turn[0],
                    m12 = turn[1],
                    m13 = turn[2];
                float m21 = turn[3],
                    m22 = turn[4],
                    m23 = turn[5];
                float m31 = turn[6],
                    m32 = turn[7],
                    m33 = turn[8];
                bool cloudy = clouds.IsCloudy;
                GroundPlane above = default;
                for (int row = firstRow; row < lastRow; row++)
                {
                    // Each row starts from the ground that the row above found at the same column.
                    hit.Ground = above;
                    for (int column = firstColumn; column < lastColumn; column++)
                    {
                        of.lattice.At(
                            column + 0.5f,
                            row + 0.5f,
                            out float x,
                            out float y,
                            out float xPerColumn,
                            out float yPerColumn,
                            out float xPerRow,
                            out float yPerRow
                        );
                        float perLength = 1f / MathF.Sqrt((x * x) + (y * y) + 1);
                        Vector256<float> factor = AngularAt(column, row);
                        uint draw = LatticeNoise.Hash(column, row, seed);
                        float sum = 0;
                        for (int sample = 0; sample < side * side; sample++)
                        {
                            draw = LatticeNoise.Mix(draw + 0x9e3779b9u);
                            float u = ((sample % side) + ((draw & 0xffff) * (1f / 65536f))) * cell;
                            float v = ((sample / side) + ((draw >> 16) * (1f / 65536f))) * cell;
                            float across = blur * Tent(u);
                            float down = blur * Tent(v);
                            float rx = x + (across * xPerColumn) + (down * xPerRow);
                            float ry = y + (across * yPerColumn) + (down * yPerRow);
                            float dx = (m11 * rx) + (m12 * ry) + m13;
                            float dy = (m21 * rx) + (m22 * ry) + m23;
                            float dz = float.MinNative((m31 * rx) + (m32 * ry) + m33, -0.05f);
                            float when = (((draw * 0x9e3779b1u) >> 8) * (1f / 16777216f)) - 0.5f;
                            rays.Trace(ox + (tx * when), oy + (ty * when), oz + (tz * when), dx, dy, dz, ref hit);
                            float beam = cloudy ? direct * clouds.At(hit.East, hit.North) : direct;
                            float rf = shade.Shade(
                                hit,
                                -dx * perLength,
                                -dy * perLength,
                                -dz * perLength,
                                beam,
                                diffuse,
                                factor
                            );
                            if (panel is not null)
                            {
                                rf = OverPanel(
                                    rf,
                                    ox + (tx * when),
                                    oy + (ty * when),
                                    oz + (tz * when),
                                    dx,
                                    dy,
                                    dz,
                                    beam,
                                    -dz * perLength
                                );
                            }

                            if (ofSurface)
                            {
                                sum += rf / (beam + diffuse);
                                continue;
                            }

                            float air = haze * hit.Distance * 0.01f;
                            sum += (rf * (1 - (1.5f * air))) + air;
                        }

                        factors[(row * of.columns) + column] = sum * share;
                        if (column == firstColumn)
                        {
                            above = hit.Ground;
                        }
                    }
                }
            }
        }

        private float OverPanel(
            float beside,
            float ox,
            float oy,
            float oz,
            float dx,
            float dy,
            float dz,
            float beam,
            float viewUp
        )
        {
            float distance = ((float)panel!.CentreMetres.Z - oz) / dz;
            float reflectance = panel.ReflectanceAt(ox + (dx * distance), oy + (dy * distance), of.bandIndex, viewUp);
            return reflectance < 0 ? beside : reflectance * (beam + diffuse);
        }

        private static float Tent(float u) => u < 0.5f ? MathF.Sqrt(2 * u) - 1 : 1 - MathF.Sqrt(2 - (2 * u));

        private Vector256<float> AngularAt(int column, int row)
        {
            unchecked
            {
                // Inside the picture.
                int node = column / FactorStep;
                int line = row / FactorStep;
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
            int lines = (of.rows / FactorStep) + 2;
            Vector256<float>[] nodes = new Vector256<float>[angularNodes * lines];
            for (int line = 0; line < lines; line++)
            {
                for (int node = 0; node < angularNodes; node++)
                {
                    of.lattice.At(
                        Math.Min(node * FactorStep, of.columns),
                        Math.Min(line * FactorStep, of.rows),
                        out float x,
                        out float y,
                        out _,
                        out _,
                        out _,
                        out _
                    );
                    Vector3D towardsViewer = -(cameraToLocal * new Vector3D(x, y, 1)).Normalized();
                    nodes[(line * angularNodes) + node] = GroundAngles.All(of.bandIndex, towardsSun, towardsViewer);
                }
            }

            return nodes;
        }
    }
}
