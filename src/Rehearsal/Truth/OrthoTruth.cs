using System.Runtime.Intrinsics;
using Hillrow.Earth;
using Hillrow.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>The estate seen straight from above on a map grid; rows × columns, row-major, first row in the north.</summary>
/// <param name="Grid">In the estate's UTM zone.</param>
/// <param name="Reflectance">By band: mean reflectance factor of the cell towards the zenith, under a clear sky.</param>
/// <param name="SurfaceHeightMetres">Highest first surface in the cell, above the ellipsoid.</param>
/// <param name="MiddleHeightMetres">First surface below the cell's middle, above the ellipsoid.</param>
/// <param name="GroundHeightMetres">Ground at the cell's middle, above the ellipsoid.</param>
/// <param name="PlantNumber">At the cell's middle, as in <see cref="CaptureMaps"/>.</param>
/// <param name="Material">At the cell's middle, as in <see cref="CaptureMaps"/>.</param>
public sealed record OrthoTruth(
    GridGeometry Grid,
    IReadOnlyList<float[]> Reflectance,
    float[] SurfaceHeightMetres,
    float[] MiddleHeightMetres,
    float[] GroundHeightMetres,
    int[] PlantNumber,
    byte[] Material
)
{
    private const int LatticeCells = 32;

    /// <summary>Renders the truth that an orthomosaic is judged against. Clouds, wind and haze are left out.</summary>
    /// <param name="samples">Rays per cell and band, a square number.</param>
    /// <exception cref="ArgumentException">The grid is not in the place's UTM zone.</exception>
    public static OrthoTruth Render(ModelledScene scene, EstatePlace place, GridGeometry grid, int samples, int threads)
    {
        ArgumentNullException.ThrowIfNull(scene);
        ArgumentNullException.ThrowIfNull(place);
        ArgumentNullException.ThrowIfNull(grid);
        if (grid.ReferenceSystem.EpsgCode != place.Zone.ToReferenceSystem().EpsgCode)
        {
            throw new ArgumentException(
                $"The grid is in {grid.ReferenceSystem}, the estate in UTM zone {place.Zone}.",
                nameof(grid)
            );
        }

        int cells = checked((int)grid.CellCount);
        OrthoTruth truth = new(
            grid,
            [.. RigBand.Five.Select(_ => new float[cells])],
            new float[cells],
            new float[cells],
            new float[cells],
            new int[cells],
            new byte[cells]
        );
        new Pass(scene, place, truth, (int)Math.Round(Math.Sqrt(samples))).Run(threads);
        return truth;
    }

    private sealed class Pass
    {
        private readonly ModelledScene scene;
        private readonly EstatePlace place;
        private readonly OrthoTruth truth;
        private readonly int side;
        private readonly SceneTracer tracer;
        private readonly SurfaceShader[] shaders;
        private readonly Vector256<float>[] angular;

        public Pass(ModelledScene scene, EstatePlace place, OrthoTruth truth, int side)
        {
            this.scene = scene;
            this.place = place;
            this.truth = truth;
            this.side = Math.Max(1, side);
            WindSway calm = new(scene.Terrain.Extent, 0, 0, 0);
            tracer = new SceneTracer(scene, calm);
            shaders = [.. RigBand.Five.Select((_, band) => new SurfaceShader(scene, band, calm))];
            angular =
            [
                .. RigBand.Five.Select(
                    (_, band) => GroundAngles.All(band, scene.Light.TowardsSun, new Vector3D(0, 0, 1))
                ),
            ];
        }

        public void Run(int threads)
        {
            int across = (truth.Grid.Columns + LatticeCells - 1) / LatticeCells;
            int down = (truth.Grid.Rows + LatticeCells - 1) / LatticeCells;
            Parallel.For(
                0,
                across * down,
                new ParallelOptions { MaxDegreeOfParallelism = threads },
                tile => Tile(tile % across * LatticeCells, tile / across * LatticeCells)
            );
        }

        private void Tile(int firstColumn, int firstRow)
        {
            // The map's lattice bends by micrometres within a tile: corners and bilinear cells in between.
            double size = truth.Grid.CellSizeMetres;
            double reference = place.ToGeodetic(new Vector3D(0, 0, 0)).HeightAboveEllipsoidMetres;
            Vector3D Corner(int column, int row, double up) =>
                place.ToLocal(
                    new GridPoint(
                        truth.Grid.WestMetres + ((firstColumn + column) * size),
                        truth.Grid.NorthMetres - ((firstRow + row) * size)
                    ),
                    reference + up
                );
            Vector3D[] low =
            [
                Corner(0, 0, 0),
                Corner(LatticeCells, 0, 0),
                Corner(0, LatticeCells, 0),
                Corner(LatticeCells, LatticeCells, 0),
            ];
            Vector3D vertical = (Corner(16, 16, 100) - Corner(16, 16, 0)) / 100;
            SurfaceHit hit = default;
            int lastColumn = Math.Min(firstColumn + LatticeCells, truth.Grid.Columns);
            int lastRow = Math.Min(firstRow + LatticeCells, truth.Grid.Rows);
            for (int row = firstRow; row < lastRow; row++)
            {
                for (int column = firstColumn; column < lastColumn; column++)
                {
                    int at = (row * truth.Grid.Columns) + column;
                    Vector3D middle = At(low, column - firstColumn + 0.5, row - firstRow + 0.5);
                    double up = Send(middle, vertical, ref hit);
                    // Height above the ellipsoid differs from the up coordinate by the earth's bend below the tangent.
                    double bend = -middle.Z;
                    truth.MiddleHeightMetres[at] = (float)(reference + up + bend);
                    truth.GroundHeightMetres[at] = (float)(reference + hit.Ground.Up + bend);
                    truth.PlantNumber[at] = scene.PlantNumberAt(hit);
                    truth.Material[at] =
                        hit.Kind == SurfaceKind.Ground ? (byte)shaders[0].MaterialAt(hit.East, hit.North) : (byte)255;
                    Sample(low, vertical, at, column - firstColumn, row - firstRow, reference + bend, ref hit);
                }
            }
        }

        private void Sample(
            Vector3D[] low,
            Vector3D vertical,
            int at,
            int column,
            int row,
            double heightOfZero,
            ref SurfaceHit hit
        )
        {
            Span<float> sums = stackalloc float[5];
            sums.Clear();
            double highest = double.MinValue;
            uint draw = LatticeNoise.Hash(at, 5, 77u);
            for (int sample = 0; sample < side * side; sample++)
            {
                draw = LatticeNoise.Mix(unchecked(draw + 0x9e3779b9u));
                double x = (sample % side) + ((draw & 0xffff) / 65536.0);
                double y = (sample / side) + ((draw >> 16) / 65536.0);
                Vector3D from = At(low, column + (x / side), row + (y / side));
                highest = Math.Max(highest, Send(from, vertical, ref hit));
                for (int band = 0; band < 5; band++)
                {
                    BandIrradiance light = scene.Light.Bands[band];
                    float direct = (float)(light.DirectHorizontal / light.Total);
                    sums[band] += shaders[band].Shade(hit, 0, 0, 1, direct, 1 - direct, angular[band]);
                }
            }

            for (int band = 0; band < 5; band++)
            {
                truth.Reflectance[band][at] = sums[band] / (side * side);
            }

            truth.SurfaceHeightMetres[at] = (float)(heightOfZero + highest);
        }

        private static Vector3D At(Vector3D[] corners, double column, double row)
        {
            double fx = column / LatticeCells;
            double fy = row / LatticeCells;
            Vector3D north = corners[0] + ((corners[1] - corners[0]) * fx);
            Vector3D south = corners[2] + ((corners[3] - corners[2]) * fx);
            return north + ((south - north) * fy);
        }

        private double Send(Vector3D foot, Vector3D vertical, ref SurfaceHit hit)
        {
            double high = scene.Terrain.HighestMetres + 30;
            Vector3D from = foot + (vertical * ((high - foot.Z) / vertical.Z));
            tracer.Trace(
                (float)from.X,
                (float)from.Y,
                (float)from.Z,
                (float)-vertical.X,
                (float)-vertical.Y,
                (float)-vertical.Z,
                ref hit
            );
            return hit.Up;
        }
    }
}
