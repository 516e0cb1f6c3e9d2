using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;
using Hillrow.Numerics;

namespace Hillrow.Reconstruction;

/// <summary>
/// Brings a partner's picture into a capture's view as if the ground lay at given distances along the lines of sight.
/// </summary>
/// <remarks>
/// A pixel's line of sight is scaled to fall by one metre per unit, so distance = camera height − ground height. In the
/// partner's camera the place is Shift + distance · fall · (Turn · pixel), all single precision: better than 0.01 pixel.
/// </remarks>
internal sealed class SweepWarp
{
    private readonly float shiftX;
    private readonly float shiftY;
    private readonly float shiftZ;
    private readonly Matrix3D turn;
    private readonly LevelView partner;
    private readonly LevelView own;

    public SweepWarp(LevelView own, LevelView partner)
    {
        this.own = own;
        this.partner = partner;
        Vector3D shift = partner.Pose.ToCamera(own.Pose.CentreLocalMetres);
        (shiftX, shiftY, shiftZ) = ((float)shift.X, (float)shift.Y, (float)shift.Z);
        turn = partner.Pose.LocalToCamera * own.Pose.LocalToCamera.Transposed();
    }

    /// <param name="row">Row of the own view.</param>
    /// <param name="lengths">Factor on (x, y, 1) that reaches the ground, one a column.</param>
    /// <param name="warped">Receives brightness, one a column; −1 where the partner does not see the place.</param>
    public void Row(int row, ReadOnlySpan<float> lengths, Span<float> warped)
    {
        double perPixel = 1 / own.FocalPixels;
        double y = (row + 0.5 - own.PrincipalRow) * perPixel;
        double x0 = (0.5 - own.PrincipalColumn) * perPixel;
        Vector3D start = turn * new Vector3D(x0, y, 1);
        Vector3D step = new Vector3D(turn.M11, turn.M21, turn.M31) * perPixel;
        float focal = (float)partner.FocalPixels;
        float middleColumn = (float)(partner.PrincipalColumn - 0.5);
        float middleRow = (float)(partner.PrincipalRow - 0.5);
        int columns = own.Columns;
        unchecked
        {
            // Sample places are clamped into the partner's picture before use.
            ref float picture = ref MemoryMarshal.GetArrayDataReference(partner.Picture);
            Vector256<float> ramp = Vector256.Create(0f, 1, 2, 3, 4, 5, 6, 7);
            Vector256<float> right = Vector256.Create(partner.Columns - 1.001f);
            Vector256<float> bottom = Vector256.Create(partner.Rows - 1.001f);
            Vector256<int> stride = Vector256.Create(partner.Columns);
            for (int column = 0; column < columns; column += 8)
            {
                int at = Math.Min(column, columns - 8);
                Vector256<float> along = ramp + Vector256.Create((float)at);
                Vector256<float> length = Vector256.Create(lengths.Slice(at, 8));
                Vector256<float> px =
                    Vector256.Create(shiftX)
                    + (length * (Vector256.Create((float)start.X) + (along * Vector256.Create((float)step.X))));
                Vector256<float> py =
                    Vector256.Create(shiftY)
                    + (length * (Vector256.Create((float)start.Y) + (along * Vector256.Create((float)step.Y))));
                Vector256<float> pz =
                    Vector256.Create(shiftZ)
                    + (length * (Vector256.Create((float)start.Z) + (along * Vector256.Create((float)step.Z))));
                Vector256<float> scale = Vector256.Create(focal) / pz;
                Vector256<float> u = (px * scale) + Vector256.Create(middleColumn);
                Vector256<float> v = (py * scale) + Vector256.Create(middleRow);
                Vector256<float> inside =
                    Vector256.GreaterThanOrEqual(u, Vector256<float>.Zero)
                    & Vector256.GreaterThanOrEqual(v, Vector256<float>.Zero)
                    & Vector256.LessThanOrEqual(u, right)
                    & Vector256.LessThanOrEqual(v, bottom)
                    & Vector256.GreaterThan(pz, Vector256.Create(0.1f));
                u = Vector256.ConditionalSelect(inside, u, Vector256<float>.Zero);
                v = Vector256.ConditionalSelect(inside, v, Vector256<float>.Zero);
                Vector256<int> iu = Vector256.ConvertToInt32(u);
                Vector256<int> iv = Vector256.ConvertToInt32(v);
                Vector256<float> fu = u - Vector256.ConvertToSingle(iu);
                Vector256<float> fv = v - Vector256.ConvertToSingle(iv);
                Vector256<int> index = (iv * stride) + iu;
                Vector256<float> a = Gather(ref picture, index);
                Vector256<float> b = Gather(ref picture, index + Vector256<int>.One);
                Vector256<float> c = Gather(ref picture, index + stride);
                Vector256<float> d = Gather(ref picture, index + stride + Vector256<int>.One);
                Vector256<float> top = a + ((b - a) * fu);
                Vector256<float> low = c + ((d - c) * fu);
                Vector256<float> value = top + ((low - top) * fv);
                Vector256.ConditionalSelect(inside, value, Vector256.Create(-1f)).CopyTo(warped[at..]);
            }
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static unsafe Vector256<float> Gather(ref float first, Vector256<int> index)
    {
        if (Avx2.IsSupported)
        {
            fixed (float* pointer = &first)
            {
                return Avx2.GatherVector256(pointer, index, 4);
            }
        }

        return Vector256.Create(
            Unsafe.Add(ref first, index[0]),
            Unsafe.Add(ref first, index[1]),
            Unsafe.Add(ref first, index[2]),
            Unsafe.Add(ref first, index[3]),
            Unsafe.Add(ref first, index[4]),
            Unsafe.Add(ref first, index[5]),
            Unsafe.Add(ref first, index[6]),
            Unsafe.Add(ref first, index[7])
        );
    }
}
