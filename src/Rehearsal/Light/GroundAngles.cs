using System.Runtime.Intrinsics;
using Hillrow.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>Angular factors of all ground materials at once, by material number.</summary>
internal static class GroundAngles
{
    public static Vector256<float> All(int band, Vector3D towardsSun, Vector3D towardsViewer)
    {
        Span<float> factors = stackalloc float[8];
        for (int material = 0; material < factors.Length; material++)
        {
            factors[material] = (float)
                GroundReflectance.Of((GroundMaterial)material, band).AngularFactor(towardsSun, towardsViewer);
        }

        return Vector256.Create<float>(factors);
    }
}
