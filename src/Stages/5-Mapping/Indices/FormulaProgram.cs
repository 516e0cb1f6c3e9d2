using System.Numerics;

namespace Hillrow.Mapping;

/// <summary>Runs the steps of a formula on blocks of values, with derivatives by each band when wanted (forward mode).</summary>
internal static class FormulaProgram
{
    /// <summary>Values worked at a time: a few dozen blocks stay in the nearest cache.</summary>
    public const int BlockLength = 512;

    /// <summary>How many entries a step adds to the stack.</summary>
    public static int Growth(FormulaStepKind kind) =>
        kind switch
        {
            FormulaStepKind.Number or FormulaStepKind.Band => 1,
            FormulaStepKind.Add
            or FormulaStepKind.Subtract
            or FormulaStepKind.Multiply
            or FormulaStepKind.Divide
            or FormulaStepKind.Power
            or FormulaStepKind.Least
            or FormulaStepKind.Greatest => -1,
            _ => 0,
        };

    /// <summary>The stack: each entry holds a block of values and one block of derivatives for each band.</summary>
    internal sealed class Stack<T>
        where T : unmanaged, IFloatingPointIeee754<T>
    {
        private readonly T[][][] entries;
        private readonly T[] factorA = new T[BlockLength];
        private readonly T[] factorB = new T[BlockLength];
        private readonly int derivatives;
        private int top = -1;

        public Stack(int depth, int derivatives)
        {
            this.derivatives = derivatives;
            entries = new T[depth][][];
            for (int at = 0; at < depth; at++)
            {
                entries[at] = new T[1 + derivatives][];
                for (int k = 0; k <= derivatives; k++)
                {
                    entries[at][k] = new T[BlockLength];
                }
            }
        }

        public void Run(FormulaStep[] steps, IReadOnlyList<T[]> values, int from, int count)
        {
            top = -1;
            foreach (FormulaStep step in steps)
            {
                switch (step.Kind)
                {
                    case FormulaStepKind.Number:
                        Push();
                        entries[top][0].AsSpan(0, count).Fill(T.CreateChecked(step.Number));
                        ClearDerivatives(-1, count);
                        break;
                    case FormulaStepKind.Band:
                        Push();
                        values[step.Band].AsSpan(from, count).CopyTo(entries[top][0]);
                        ClearDerivatives(step.Band, count);
                        break;
                    case FormulaStepKind.Add
                    or FormulaStepKind.Subtract
                    or FormulaStepKind.Multiply
                    or FormulaStepKind.Divide:
                        top--;
                        Arithmetic(step.Kind, entries[top], entries[top + 1], count);
                        break;
                    case FormulaStepKind.Power or FormulaStepKind.Least or FormulaStepKind.Greatest:
                        top--;
                        OfTwo(step.Kind, entries[top], entries[top + 1], count);
                        break;
                    case FormulaStepKind.Square:
                        Arithmetic(FormulaStepKind.Multiply, entries[top], entries[top], count);
                        break;
                    default:
                        OfOne(step.Kind, entries[top], count);
                        break;
                }
            }
        }

        /// <summary>The result; what is not finite becomes NaN.</summary>
        public void TakeValues(Span<T> index)
        {
            ReadOnlySpan<T> value = entries[0][0];
            for (int at = 0; at < index.Length; at++)
            {
                index[at] = T.IsFinite(value[at]) ? value[at] : T.NaN;
            }
        }

        public void TakeSigmas(IReadOnlyList<T[]> sigmas, int from, ReadOnlySpan<T> index, Span<T> sigma)
        {
            for (int at = 0; at < sigma.Length; at++)
            {
                T sum = T.Zero;
                for (int k = 0; k < derivatives; k++)
                {
                    T part = entries[0][k + 1][at] * sigmas[k][from + at];
                    sum += part * part;
                }

                T error = T.Sqrt(sum);
                sigma[at] = T.IsFinite(error) && !T.IsNaN(index[at]) ? error : T.NaN;
            }
        }

        private void Push() => top++;

        private void ClearDerivatives(int one, int count)
        {
            for (int k = 0; k < derivatives; k++)
            {
                entries[top][k + 1].AsSpan(0, count).Fill(k == one ? T.One : T.Zero);
            }
        }

        private void Arithmetic(FormulaStepKind kind, T[][] a, T[][] b, int count)
        {
            // Derivatives first: they need the values before these are overwritten.
            for (int k = 1; k <= derivatives; k++)
            {
                Derive(kind, a[0], b[0], a[k], b[k], count);
            }

            Span<Vector<T>> left = Vectors(a[0], count);
            ReadOnlySpan<Vector<T>> right = Vectors(b[0], count);
            switch (kind)
            {
                case FormulaStepKind.Add:
                    for (int at = 0; at < left.Length; at++)
                    {
                        left[at] += right[at];
                    }

                    break;
                case FormulaStepKind.Subtract:
                    for (int at = 0; at < left.Length; at++)
                    {
                        left[at] -= right[at];
                    }

                    break;
                case FormulaStepKind.Multiply:
                    for (int at = 0; at < left.Length; at++)
                    {
                        left[at] *= right[at];
                    }

                    break;
                default:
                    for (int at = 0; at < left.Length; at++)
                    {
                        left[at] = Defined(left[at] / right[at]);
                    }

                    break;
            }
        }

        private static void Derive(FormulaStepKind kind, T[] a, T[] b, T[] da, T[] db, int count)
        {
            Span<Vector<T>> x = Vectors(a, count);
            Span<Vector<T>> y = Vectors(b, count);
            Span<Vector<T>> dx = Vectors(da, count);
            Span<Vector<T>> dy = Vectors(db, count);
            for (int at = 0; at < dx.Length; at++)
            {
                dx[at] = kind switch
                {
                    FormulaStepKind.Add => dx[at] + dy[at],
                    FormulaStepKind.Subtract => dx[at] - dy[at],
                    FormulaStepKind.Multiply => (dx[at] * y[at]) + (x[at] * dy[at]),
                    _ => (dx[at] - (x[at] / y[at] * dy[at])) / y[at],
                };
            }
        }

        /// <summary>x + (x − x) is x, but NaN for an infinite x: a division by 0 must not come back as 0 later.</summary>
        private static Vector<T> Defined(Vector<T> value) => value + (value - value);

        /// <summary>Whole vectors that cover the block's first values; the block's length is a multiple of every vector's.</summary>
        private static Span<Vector<T>> Vectors(T[] block, int count)
        {
            int whole = (count + Vector<T>.Count - 1) / Vector<T>.Count * Vector<T>.Count;
            return System.Runtime.InteropServices.MemoryMarshal.Cast<T, Vector<T>>(block.AsSpan(0, whole));
        }

        private void OfTwo(FormulaStepKind kind, T[][] a, T[][] b, int count)
        {
            for (int at = 0; at < count; at++)
            {
                T x = a[0][at];
                T y = b[0][at];
                bool first = kind == FormulaStepKind.Least ? x <= y : x >= y;
                if (kind != FormulaStepKind.Power)
                {
                    a[0][at] =
                        T.IsNaN(x) || T.IsNaN(y) ? T.NaN
                        : first ? x
                        : y;
                    factorA[at] = first ? T.One : T.Zero;
                    factorB[at] = first ? T.Zero : T.One;
                    continue;
                }

                T power = T.Pow(x, y);
                a[0][at] = T.IsFinite(power) ? power : T.NaN;
                factorA[at] = y * T.Pow(x, y - T.One);

                // The logarithm's part only where the exponent varies; it is 0 · ln(negative) = NaN otherwise.
                factorB[at] = power * T.Log(x);
            }

            Combine(a, b, count);
        }

        private void OfOne(FormulaStepKind kind, T[][] a, int count)
        {
            for (int at = 0; at < count; at++)
            {
                T x = a[0][at];
                (T value, T slope) = kind switch
                {
                    FormulaStepKind.Negate => (-x, -T.One),
                    FormulaStepKind.SquareRoot => Root(x),
                    FormulaStepKind.Exponential => (T.Exp(x), T.Exp(x)),
                    FormulaStepKind.Logarithm => (x > T.Zero ? T.Log(x) : T.NaN, T.One / x),
                    FormulaStepKind.HyperbolicTangent => (T.Tanh(x), T.One - (T.Tanh(x) * T.Tanh(x))),
                    _ => (T.Abs(x), x < T.Zero ? -T.One : T.One),
                };
                a[0][at] = value;
                factorA[at] = slope;
            }

            for (int k = 1; k <= derivatives; k++)
            {
                for (int at = 0; at < count; at++)
                {
                    a[k][at] *= factorA[at];
                }
            }
        }

        private static (T Value, T Slope) Root(T x)
        {
            T root = T.Sqrt(x);
            return (root, T.One / (root + root));
        }

        private void Combine(T[][] a, T[][] b, int count)
        {
            for (int k = 1; k <= derivatives; k++)
            {
                for (int at = 0; at < count; at++)
                {
                    T second = b[k][at] == T.Zero ? T.Zero : b[k][at] * factorB[at];
                    a[k][at] = (a[k][at] == T.Zero ? T.Zero : a[k][at] * factorA[at]) + second;
                }
            }
        }
    }
}
