using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;
using Hillrow.Numerics;

namespace Hillrow.Reconstruction;

/// <summary>Brings a partner's picture into a capture's view as if all the ground lay on a plane.</summary>
/// <remarks>
/// A plane takes homogeneous pixels to homogeneous pixels by one matrix (homography); here built from the poses. Single
/// precision: better than 0.01 pixel.
/// </remarks>
internal sealed class PlaneWarp
{
    private readonly LevelView own;
    private readonly LevelView partner;
    private readonly Vector3D perColumn;
    private readonly Vector3D perRow;
    private readonly Vector3D constant;

    public PlaneWarp(LevelView own, LevelView partner, SweepPlane plane)
    {
        (this.own, this.partner) = (own, partner);
        Matrix3D toLocal = own.Pose.LocalToCamera.Transposed();
        Vector3D centre = own.Pose.CentreLocalMetres;
        Vector3D between = partner.Pose.ToCamera(centre);
        double above = plane.Above(centre);
        Vector3D Of(Vector3D cameraRay)
        {
            Vector3D ray = toLocal * cameraRay;
            double rise = ray.Z - (plane.East * ray.X) - (plane.North * ray.Y);
            return (partner.Pose.LocalToCamera * ray * above) - (between * rise);
        }

        Vector3D x = Of(new Vector3D(1, 0, 0)) / own.FocalPixels;
        Vector3D y = Of(new Vector3D(0, 1, 0)) / own.FocalPixels;
        perColumn = x;
        perRow = y;
        constant = Of(new Vector3D(0, 0, 1)) - (x * own.PrincipalColumn) - (y * own.PrincipalRow);
    }

    /// <summary>Warps the whole picture.</summary>
    /// <param name="columnShift">Added to the places of the own view that are asked for, pixels.</param>
    /// <param name="rowShift">Likewise.</param>
    /// <param name="warped">Receives own rows × columns.</param>
    /// <param name="seen">Receives for each own row the first and the end column between which all is seen.</param>
    public void Whole(double columnShift, double rowShift, Span<ushort> warped, Span<(int First, int End)> seen)
    {
        for (int row = 0; row < own.Rows; row++)
        {
            seen[row] = Row(columnShift, row + rowShift, warped.Slice(row * own.Columns, own.Columns));
        }
    }

    private (int First, int End) Row(double columnShift, double row, Span<ushort> warped)
    {
        Vector3D start = constant + (perRow * (row + 0.5)) + (perColumn * (0.5 + columnShift));
        Vector256<float> sx = Vector256.Create((float)start.X);
        Vector256<float> sy = Vector256.Create((float)start.Y);
        Vector256<float> sz = Vector256.Create((float)start.Z);
        Vector256<float> dx = Vector256.Create((float)perColumn.X);
        Vector256<float> dy = Vector256.Create((float)perColumn.Y);
        Vector256<float> dz = Vector256.Create((float)perColumn.Z);
        Vector256<float> focal = Vector256.Create((float)partner.FocalPixels);
        Vector256<float> middleColumn = Vector256.Create((float)(partner.PrincipalColumn - 0.5));
        Vector256<float> middleRow = Vector256.Create((float)(partner.PrincipalRow - 0.5));
        Vector256<float> right = Vector256.Create(partner.Columns - 1.001f);
        Vector256<float> bottom = Vector256.Create(partner.Rows - 1.001f);
        Vector256<int> stride = Vector256.Create(partner.Columns);
        Vector256<float> ramp = Vector256.Create(0f, 1, 2, 3, 4, 5, 6, 7);
        Vector256<float> half = Vector256.Create(0.5f);
        int first = int.MaxValue;
        int end = 0;
        unchecked
        {
            // Sample places are clamped into the partner's picture before use.
            ref ushort picture = ref MemoryMarshal.GetArrayDataReference(partner.Picture);
            for (int column = 0; column < warped.Length; column += 8)
            {
                int at = Math.Min(column, warped.Length - 8);
                Vector256<float> along = ramp + Vector256.Create((float)at);
                Vector256<float> z = sz + (along * dz);
                Vector256<float> scale = focal / z;
                Vector256<float> u = ((sx + (along * dx)) * scale) + middleColumn;
                Vector256<float> v = ((sy + (along * dy)) * scale) + middleRow;
                Vector256<float> inside =
                    Vector256.GreaterThanOrEqual(u, Vector256<float>.Zero)
                    & Vector256.GreaterThanOrEqual(v, Vector256<float>.Zero)
                    & Vector256.LessThanOrEqual(u, right)
                    & Vector256.LessThanOrEqual(v, bottom)
                    & Vector256.GreaterThan(z, Vector256<float>.Zero);
                uint mask = inside.ExtractMostSignificantBits();
                if (mask == 0)
                {
                    warped.Slice(at, 8).Clear();
                    continue;
                }

                first = Math.Min(first, at + System.Numerics.BitOperations.TrailingZeroCount(mask));
                end = Math.Max(end, at + 32 - System.Numerics.BitOperations.LeadingZeroCount(mask));
                u = Vector256.ConditionalSelect(inside, u, Vector256<float>.Zero);
                v = Vector256.ConditionalSelect(inside, v, Vector256<float>.Zero);
                Vector256<int> iu = Vector256.ConvertToInt32(u);
                Vector256<int> iv = Vector256.ConvertToInt32(v);
                Vector256<float> fu = u - Vector256.ConvertToSingle(iu);
                Vector256<float> fv = v - Vector256.ConvertToSingle(iv);
                Vector256<int> index = (iv * stride) + iu;
                Vector256<float> top = Between(Pair(ref picture, index), fu);
                Vector256<float> low = Between(Pair(ref picture, index + stride), fu);
                Vector256<int> value = Vector256.ConvertToInt32(top + ((low - top) * fv) + half);
                Vector128.Narrow(value.GetLower().AsUInt32(), value.GetUpper().AsUInt32()).CopyTo(warped[at..]);
            }
        }

        return first < end ? (first, end) : (0, 0);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector256<float> Between(Vector256<int> pair, Vector256<float> part)
    {
        Vector256<float> left = Vector256.ConvertToSingle(pair & Vector256.Create(0xffff));
        Vector256<float> right = Vector256.ConvertToSingle(Vector256.ShiftRightLogical(pair, 16));
        return left + ((right - left) * part);
    }

    /// <summary>Two neighbouring pixels in one 32-bit value, the left one in the lower half.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static unsafe Vector256<int> Pair(ref ushort first, Vector256<int> index)
    {
        if (Avx2.IsSupported)
        {
            fixed (ushort* pointer = &first)
            {
                return Avx2.GatherVector256((int*)pointer, index, 2);
            }
        }
        unchecked
        {
            Vector256<int> pairs = Vector256<int>.Zero;
            for (int lane = 0; lane < 8; lane++)
            {
                int at = index[lane];
                pairs = pairs.WithElement(
                    lane,
                    Unsafe.Add(ref first, at) | (int)((uint)Unsafe.Add(ref first, at + 1) << 16)
                );
            }

            return pairs;
        }
    }
}
