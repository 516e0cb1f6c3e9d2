namespace Hillrow.Radiometry;

/// <summary>Where a place in a frame lies among the frame's light nodes: bilinear weights.</summary>
/// <param name="First">Index of the upper left node within the capture.</param>
/// <param name="Right">Step to the node on its right.</param>
/// <param name="Below">Step to the node below it.</param>
/// <param name="Across">Share of the right nodes; beyond 0 … 1 outside the frame.</param>
/// <param name="Down">Share of the lower nodes.</param>
public readonly record struct NodePlace(int First, int Right, int Below, float Across, float Down)
{
    /// <param name="nodeRows">At least 1.</param>
    /// <param name="nodeColumns">At least 1.</param>
    /// <param name="rowShare">0 at the frame's upper edge, 1 at the lower; a little beyond is carried on in a straight line.</param>
    /// <param name="columnShare">0 at the left edge, 1 at the right.</param>
    public static NodePlace At(int nodeRows, int nodeColumns, double rowShare, double columnShare)
    {
        (int column, float across) = Along(nodeColumns, columnShare);
        (int row, float down) = Along(nodeRows, rowShare);
        return new NodePlace(
            (row * nodeColumns) + column,
            nodeColumns > 1 ? 1 : 0,
            nodeRows > 1 ? nodeColumns : 0,
            across,
            down
        );
    }

    /// <summary>Value of the nodes at the place.</summary>
    public double Of(ReadOnlySpan<double> nodes)
    {
        double top = nodes[First] + ((nodes[First + Right] - nodes[First]) * Across);
        double bottom = nodes[First + Below] + ((nodes[First + Below + Right] - nodes[First + Below]) * Across);
        return top + ((bottom - top) * Down);
    }

    /// <summary>Adds a value to the nodes by their weights: the transpose of <see cref="Of"/>.</summary>
    public void Spread(double value, Span<double> nodes)
    {
        double bottom = value * Down;
        double top = value - bottom;
        nodes[First] += top * (1 - Across);
        nodes[First + Right] += top * Across;
        nodes[First + Below] += bottom * (1 - Across);
        nodes[First + Below + Right] += bottom * Across;
    }

    private static (int Node, float Share) Along(int nodes, double share)
    {
        if (nodes == 1)
        {
            return (0, 0);
        }

        double at = share * (nodes - 1);
        int node = Math.Clamp((int)Math.Floor(at), 0, nodes - 2);
        return (node, (float)(at - node));
    }
}

/// <summary>
/// What captures saw of the same places on the ground, in one band: for each look the logarithm of the reflectance found,
/// and what may have bent it.
/// </summary>
/// <remarks>Looks at one place stand together. Memory: 4 × (8 + regressors) bytes a look.</remarks>
public sealed class GainSamples(int regressors)
{
    private readonly List<int> starts = [0];
    private readonly List<int> captures = [];
    private readonly List<NodePlace> nodes = [];
    private readonly List<float> logs = [];
    private readonly List<float> values = [];

    /// <summary>Shared unknowns that a look depends on (view angle, lens).</summary>
    public int Regressors { get; } = regressors;

    public int Places => starts.Count - 1;

    public int Looks => captures.Count;

    /// <summary>First look of a place; the last one's end for <see cref="Places"/>.</summary>
    public int StartOf(int place) => starts[place];

    public int CaptureOf(int look) => captures[look];

    public NodePlace NodeOf(int look) => nodes[look];

    public double LogOf(int look) => logs[look];

    public ReadOnlySpan<float> RegressorsOf(int look) =>
        System.Runtime.InteropServices.CollectionsMarshal.AsSpan(values).Slice(look * Regressors, Regressors);

    /// <summary>Adds a look at the place that is being told.</summary>
    /// <param name="capture">Its index.</param>
    /// <param name="node">Where in its frame.</param>
    /// <param name="logReflectance">Natural logarithm of the reflectance found.</param>
    /// <param name="shared">As many as <see cref="Regressors"/>.</param>
    public void Add(int capture, NodePlace node, double logReflectance, ReadOnlySpan<float> shared)
    {
        if (shared.Length != Regressors || !double.IsFinite(logReflectance))
        {
            throw new ArgumentException(
                $"A look needs a finite logarithm and {Regressors} regressors, not {logReflectance} and {shared.Length}."
            );
        }

        captures.Add(capture);
        nodes.Add(node);
        logs.Add((float)logReflectance);
        foreach (float value in shared)
        {
            values.Add(value);
        }
    }

    /// <summary>Ends a place; one that fewer than two looks saw tells nothing and is dropped.</summary>
    public void EndPlace()
    {
        int first = starts[^1];
        if (captures.Count - first >= 2)
        {
            starts.Add(captures.Count);
            return;
        }

        captures.RemoveRange(first, captures.Count - first);
        nodes.RemoveRange(first, nodes.Count - first);
        logs.RemoveRange(first, logs.Count - first);
        values.RemoveRange(first * Regressors, values.Count - (first * Regressors));
    }
}
