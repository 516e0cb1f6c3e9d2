using Hillrow.Numerics;

namespace Hillrow.Imaging;

/// <summary>The photogrammetrist's rotation angles: M = Rz(κ)ᵀ Ry(φ)ᵀ Rx(ω)ᵀ takes east-north-up into photo axes.</summary>
/// <remarks>
/// Photo axes: x right, y up in the picture, z against the view; the camera frame is that with y and z reversed.
/// m31 = sin φ, m32 = −sin ω cos φ, m33 = cos ω cos φ, m21 = −cos φ sin κ, m11 = cos φ cos κ.
/// Source: P. R. Wolf and B. A. Dewitt, Elements of Photogrammetry, appendix C (from memory; checked against
/// tests/Reference/camera-geometry/rotation_conventions.json).
/// </remarks>
public readonly record struct OmegaPhiKappa(Angle Omega, Angle Phi, Angle Kappa)
{
    private static readonly Matrix3D PhotoToCamera = new(1, 0, 0, 0, -1, 0, 0, 0, -1);

    public Matrix3D EnuToPhoto() =>
        (Matrix3D.RotationX(Omega) * Matrix3D.RotationY(Phi) * Matrix3D.RotationZ(Kappa)).Transposed();

    public Matrix3D EnuToCamera() => PhotoToCamera * EnuToPhoto();

    /// <summary>Angles of a rotation from east-north-up into the camera frame; φ in [-90°, 90°], others in [-180°, 180°].</summary>
    /// <remarks>At φ = ±90° ω and κ are one turn: all of it is given to κ.</remarks>
    public static OmegaPhiKappa FromEnuToCamera(Matrix3D enuToCamera)
    {
        Matrix3D m = PhotoToCamera * enuToCamera;
        double phi = Math.Asin(Math.Clamp(m.M31, -1, 1));
        bool vertical = Math.Abs(m.M31) > 1 - 1e-14;
        double omega = vertical ? 0 : Math.Atan2(-m.M32, m.M33);
        double kappa = vertical ? Math.Atan2(m.M12, m.M22) : Math.Atan2(-m.M21, m.M11);
        return new OmegaPhiKappa(Angle.FromRadians(omega), Angle.FromRadians(phi), Angle.FromRadians(kappa));
    }
}
