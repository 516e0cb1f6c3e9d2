namespace Hillrow.Imaging;

public enum Connectivity
{
    /// <summary>Up, down, left, right.</summary>
    Four,

    /// <summary>Corners too.</summary>
    Eight,
}

/// <summary>Numbers the connected regions of a mask.</summary>
public static class Labelling
{
    /// <summary>Gives each region a number from 1, in the order of their first pixels row by row; 0 outside.</summary>
    /// <param name="mask">Rows × columns, row-major, 0 is out.</param>
    /// <param name="rows">Above 0.</param>
    /// <param name="columns">Above 0.</param>
    /// <param name="connectivity">Whether corners join.</param>
    /// <param name="labels">Receives the same shape.</param>
    /// <returns>How many regions there are.</returns>
    /// <remarks>Two passes with union–find (A. Rosenfeld and J. L. Pfaltz 1966, doi 10.1145/321356.321357).</remarks>
    public static int Label(ReadOnlySpan<byte> mask, int rows, int columns, Connectivity connectivity, Span<int> labels)
    {
        Shapes.Check<byte, int>(mask, rows, columns, labels);
        List<int> parents = [0];
        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                int index = (row * columns) + column;
                if (mask[index] == 0)
                {
                    labels[index] = 0;
                    continue;
                }

                int label = column > 0 ? labels[index - 1] : 0;
                if (row > 0)
                {
                    label = Join(parents, label, labels[index - columns]);
                    if (connectivity == Connectivity.Eight)
                    {
                        label = column > 0 ? Join(parents, label, labels[index - columns - 1]) : label;
                        label = column < columns - 1 ? Join(parents, label, labels[index - columns + 1]) : label;
                    }
                }

                if (label == 0)
                {
                    label = parents.Count;
                    parents.Add(label);
                }

                labels[index] = label;
            }
        }

        // A root is its region's smallest provisional number, so numbering by first pixel follows.
        int count = 0;
        int[] final = new int[parents.Count];
        for (int label = 1; label < final.Length; label++)
        {
            int root = Root(parents, label);
            final[label] = root == label ? ++count : final[root];
        }

        for (int index = 0; index < labels.Length; index++)
        {
            labels[index] = final[labels[index]];
        }

        return count;
    }

    private static int Join(List<int> parents, int label, int other)
    {
        if (label == 0 || other == 0)
        {
            return label + other;
        }

        int first = Root(parents, label);
        int second = Root(parents, other);
        int root = Math.Min(first, second);
        parents[first] = root;
        parents[second] = root;
        return root;
    }

    private static int Root(List<int> parents, int label)
    {
        while (parents[label] != label)
        {
            parents[label] = parents[parents[label]];
            label = parents[label];
        }

        return label;
    }
}
