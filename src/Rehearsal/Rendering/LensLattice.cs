using Hillrow.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>
/// Ray directions of a lens at every fourth pixel corner, and four pixels beyond the picture's edge; in between they are
/// bilinear.
/// </summary>
/// <remarks>Four pixels keep the interpolation error below 0.001 px for the distortion of this rig.</remarks>
internal sealed class LensLattice
{
    public const int Step = 4;
    private readonly float[] x;
    private readonly float[] y;
    private readonly int nodes;

    public LensLattice(TrueLens lens, int columns, int rows)
    {
        nodes = (columns / Step) + 4;
        int lines = (rows / Step) + 4;
        x = new float[nodes * lines];
        y = new float[nodes * lines];
        for (int line = 0; line < lines; line++)
        {
            for (int node = 0; node < nodes; node++)
            {
                Vector3D ray = lens.Ray((node - 1) * Step, (line - 1) * Step);
                x[(line * nodes) + node] = (float)ray.X;
                y[(line * nodes) + node] = (float)ray.Y;
            }
        }
    }

    /// <summary>Normalized camera coordinates at a place in the picture, and their change per pixel.</summary>
    public void At(
        float column,
        float row,
        out float atX,
        out float atY,
        out float xPerColumn,
        out float yPerColumn,
        out float xPerRow,
        out float yPerRow
    )
    {
        unchecked
        {
            // Callers stay within four pixels of the picture.
            column += Step;
            row += Step;
            int node = (int)column >> 2;
            int line = (int)row >> 2;
            float fx = (column - (node * Step)) * (1f / Step);
            float fy = (row - (line * Step)) * (1f / Step);
            int at = (line * nodes) + node;
            Blend(x, at, fx, fy, out atX, out xPerColumn, out xPerRow);
            Blend(y, at, fx, fy, out atY, out yPerColumn, out yPerRow);
        }
    }

    private void Blend(
        float[] field,
        int at,
        float fx,
        float fy,
        out float value,
        out float perColumn,
        out float perRow
    )
    {
        float a = field[at];
        float b = field[at + 1];
        float c = field[at + nodes];
        float d = field[at + nodes + 1];
        float low = a + ((b - a) * fx);
        float high = c + ((d - c) * fx);
        value = low + ((high - low) * fy);
        perRow = (high - low) * (1f / Step);
        perColumn = ((b - a) + (((d - c) - (b - a)) * fy)) * (1f / Step);
    }
}
