using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Numerics.Linear;

namespace Hillrow.Reconstruction;

/// <summary>Shift, turn and scale of space about a middle.</summary>
internal sealed record SimilarityMove(Vector3D Middle, Vector3D Shift, Matrix3D Turn, double Scale)
{
    /// <summary>How much a turn and a change of scale may be, standard errors of a start: they hold badly seen fits.</summary>
    private const double TurnSigma = 0.01;
    private const double ScaleSigma = 0.01;

    public static SimilarityMove None { get; } = new(Vector3D.Zero, Vector3D.Zero, Matrix3D.Identity, 1);

    public Vector3D Of(Vector3D place) => Middle + Shift + (Scale * (Turn * (place - Middle)));

    public CameraPose Of(CameraPose pose) => new(Of(pose.CentreLocalMetres), pose.LocalToCamera * Turn.Transposed());

    /// <summary>Robust fit that brings one set of places onto another; small turns only.</summary>
    /// <param name="pairs">From and to.</param>
    /// <param name="start">First guess.</param>
    /// <param name="softMetres">Misses beyond this count ever less (Cauchy), by round.</param>
    public static SimilarityMove Fit(
        IReadOnlyList<(Vector3D From, Vector3D To)> pairs,
        SimilarityMove start,
        ReadOnlySpan<double> softMetres
    )
    {
        Vector3D middle = default;
        foreach ((Vector3D from, _) in pairs)
        {
            middle += from / pairs.Count;
        }

        SimilarityMove move = new(middle, start.Of(middle) - middle, start.Turn, start.Scale);
        foreach (double soft in softMetres)
        {
            for (int pass = 0; pass < 4; pass++)
            {
                move = Step(pairs, move, soft);
            }
        }

        return move;
    }

    private static SimilarityMove Step(
        IReadOnlyList<(Vector3D From, Vector3D To)> pairs,
        SimilarityMove move,
        double soft
    )
    {
        const int Count = 7;
        double[] normal = new double[Count * Count];
        double[] right = new double[Count];
        Span<double> rows = stackalloc double[3 * Count];
        foreach ((Vector3D from, Vector3D to) in pairs)
        {
            Vector3D arm = move.Scale * (move.Turn * (from - move.Middle));
            Vector3D miss = to - move.Of(from);
            double weight = 1 / (1 + (Vector3D.Dot(miss, miss) / (soft * soft)));
            rows.Clear();
            rows[0] = rows[Count + 1] = rows[(2 * Count) + 2] = 1;

            // A small turn w moves the arm by w × arm.
            (rows[4], rows[5]) = (arm.Z, -arm.Y);
            (rows[Count + 3], rows[Count + 5]) = (-arm.Z, arm.X);
            (rows[(2 * Count) + 3], rows[(2 * Count) + 4]) = (arm.Y, -arm.X);
            (rows[6], rows[Count + 6], rows[(2 * Count) + 6]) = (arm.X, arm.Y, arm.Z);
            ReadOnlySpan<double> misses = [miss.X, miss.Y, miss.Z];
            for (int axis = 0; axis < 3; axis++)
            {
                ReadOnlySpan<double> row = rows.Slice(axis * Count, Count);
                for (int one = 0; one < Count; one++)
                {
                    right[one] += weight * row[one] * misses[axis];
                    for (int other = 0; other < Count; other++)
                    {
                        normal[(one * Count) + other] += weight * row[one] * row[other];
                    }
                }
            }
        }

        for (int turn = 3; turn < Count; turn++)
        {
            double sigma = turn < 6 ? TurnSigma : ScaleSigma;
            normal[(turn * Count) + turn] += soft * soft / (sigma * sigma);
        }

        if (!DenseCholesky.Factor(normal, Count))
        {
            return move;
        }

        double[] step = right;
        DenseCholesky.Solve(normal, Count, step);
        return move with
        {
            Shift = move.Shift + new Vector3D(step[0], step[1], step[2]),
            Turn = Matrix3D.FromRotationVector(new Vector3D(step[3], step[4], step[5])) * move.Turn,
            Scale = move.Scale * (1 + step[6]),
        };
    }
}
