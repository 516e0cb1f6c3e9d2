namespace Hillrow.Rehearsal;

/// <summary>The cloud field at one moment, sampled every four metres over the estate.</summary>
internal sealed class CloudShadow
{
    private const float Step = 4;
    private readonly float[] shares = [];
    private readonly int columns;
    private readonly int rows;
    private readonly float west;
    private readonly float south;

    public CloudShadow(SceneExtent extent, CloudField field, double seconds)
    {
        IsCloudy = field.Cover > 0;
        if (!IsCloudy)
        {
            return;
        }

        west = (float)extent.WestMetres - 40;
        south = (float)extent.SouthMetres - 40;
        columns = (int)((extent.WidthMetres + 80) / Step) + 2;
        rows = (int)((extent.LengthMetres + 80) / Step) + 2;
        shares = new float[columns * rows];
        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                shares[(row * columns) + column] = (float)
                    field.BeamShare(west + (column * Step), south + (row * Step), seconds);
            }
        }
    }

    public bool IsCloudy { get; }

    public float At(float east, float north)
    {
        float x = Math.Clamp((east - west) / Step, 0, columns - 1.01f);
        float y = Math.Clamp((north - south) / Step, 0, rows - 1.01f);
        int ix = (int)x;
        int iy = (int)y;
        int at = (iy * columns) + ix;
        float low = shares[at] + ((shares[at + 1] - shares[at]) * (x - ix));
        float high = shares[at + columns] + ((shares[at + columns + 1] - shares[at + columns]) * (x - ix));
        return low + ((high - low) * (y - iy));
    }
}
