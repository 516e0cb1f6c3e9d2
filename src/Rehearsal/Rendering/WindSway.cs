using System.Runtime.CompilerServices;

namespace Hillrow.Rehearsal;

/// <summary>
/// How far the wind has pushed the leaves at one moment: a shift that grows with height above ground, smooth over
/// metres, different at every capture; leaves also turn.
/// </summary>
public sealed class WindSway
{
    private readonly float[] east;
    private readonly float[] north;
    private readonly int columns;
    private readonly int rows;
    private readonly float west;
    private readonly float south;

    /// <param name="amplitudeMetres">Largest shift 2 m above the ground; 0 is calm.</param>
    public WindSway(SceneExtent extent, double amplitudeMetres, double seconds, ulong seed)
    {
        ArgumentNullException.ThrowIfNull(extent);
        columns = (int)extent.WidthMetres + 3;
        rows = (int)extent.LengthMetres + 3;
        west = (float)extent.WestMetres - 1;
        south = (float)extent.SouthMetres - 1;
        east = new float[columns * rows];
        north = new float[columns * rows];
        AmplitudeMetres = amplitudeMetres;
        uint own = unchecked(((uint)seed * 2654435761u) ^ (uint)(int)Math.Round(seconds * 10));
        LeafSeed = amplitudeMetres > 0 ? LatticeNoise.Mix(own + 1) : 0;
        if (amplitudeMetres <= 0)
        {
            return;
        }

        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                float gust = 0.6f + (0.4f * LatticeNoise.Smooth(column / 14f, row / 14f, own + 2));
                float scale = (float)amplitudeMetres * gust;
                east[(row * columns) + column] = scale * LatticeNoise.Smooth(column / 2.7f, row / 2.7f, own + 3);
                north[(row * columns) + column] = scale * LatticeNoise.Smooth(column / 2.7f, row / 2.7f, own + 4);
            }
        }
    }

    public double AmplitudeMetres { get; }

    /// <summary>Which way each leaf flutters; 0 when calm.</summary>
    internal uint LeafSeed { get; }

    /// <summary>Shift per metre of height above the ground.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    internal void Lean(float x, float y, out float leanEast, out float leanNorth)
    {
        float gx = float.MinNative(float.MaxNative(x - west, 0), columns - 1.01f);
        float gy = float.MinNative(float.MaxNative(y - south, 0), rows - 1.01f);
        int ix = float.ConvertToIntegerNative<int>(gx);
        int iy = float.ConvertToIntegerNative<int>(gy);
        float fx = gx - ix;
        float fy = gy - iy;
        int at = unchecked((iy * columns) + ix);
        leanEast = 0.5f * Blend(east, at, fx, fy);
        leanNorth = 0.5f * Blend(north, at, fx, fy);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private float Blend(float[] field, int at, float fx, float fy)
    {
        float low = field[at] + ((field[at + 1] - field[at]) * fx);
        float high = field[at + columns] + ((field[at + columns + 1] - field[at + columns]) * fx);
        return low + ((high - low) * fy);
    }
}
