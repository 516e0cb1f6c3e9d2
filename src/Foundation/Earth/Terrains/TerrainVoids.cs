namespace Hillrow.Earth;

/// <summary>The holes of a terrain tile.</summary>
/// <param name="Posts">Posts without a height.</param>
/// <param name="Holes">Connected holes (posts that touch along an edge).</param>
/// <param name="LargestHolePosts">Posts of the largest hole.</param>
/// <param name="LargestHoleRow">Middle row of the largest hole.</param>
/// <param name="LargestHoleColumn">Middle column of the largest hole.</param>
public sealed record TerrainVoids(int Posts, int Holes, int LargestHolePosts, int LargestHoleRow, int LargestHoleColumn)
{
    public static TerrainVoids None { get; } = new(0, 0, 0, 0, 0);

    internal static TerrainVoids Of(ReadOnlySpan<float> heights, int rows, int columns)
    {
        int posts = 0;
        foreach (float height in heights)
        {
            if (float.IsNaN(height))
            {
                posts++;
            }
        }

        if (posts == 0)
        {
            return None;
        }

        bool[] seen = new bool[heights.Length];
        Stack<int> front = new();
        int holes = 0;
        (int size, long row, long column) largest = (0, 0, 0);
        for (int start = 0; start < heights.Length; start++)
        {
            if (seen[start] || !float.IsNaN(heights[start]))
            {
                continue;
            }

            holes++;
            int size = 0;
            long rowSum = 0;
            long columnSum = 0;
            seen[start] = true;
            front.Push(start);
            while (front.TryPop(out int post))
            {
                int row = post / columns;
                int column = post % columns;
                size++;
                rowSum += row;
                columnSum += column;
                Visit(heights, row > 0, post - columns);
                Visit(heights, row < rows - 1, post + columns);
                Visit(heights, column > 0, post - 1);
                Visit(heights, column < columns - 1, post + 1);
            }

            if (size > largest.size)
            {
                largest = (size, rowSum / size, columnSum / size);
            }
        }

        return new(posts, holes, largest.size, (int)largest.row, (int)largest.column);

        void Visit(ReadOnlySpan<float> posts, bool inside, int post)
        {
            if (inside && !seen[post] && float.IsNaN(posts[post]))
            {
                seen[post] = true;
                front.Push(post);
            }
        }
    }
}
