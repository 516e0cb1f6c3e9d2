using Hillrow.Numerics;

namespace Hillrow.Imaging;

/// <summary>Where a band's lens sits in the camera and how it is turned, against the reference band's camera frame.</summary>
/// <param name="ReferenceToBand">Rotation that takes vectors of the reference band's camera frame into this band's.</param>
/// <param name="LensInReferenceMetres">The lens's centre in the reference band's camera frame (x right, y down, z forward).</param>
public sealed record CameraMount(Matrix3D ReferenceToBand, Vector3D LensInReferenceMetres)
{
    public static CameraMount Reference { get; } = new(Matrix3D.Identity, Vector3D.Zero);

    /// <param name="rotationVectorRadians">Turn that takes vectors of the reference camera frame into this band's.</param>
    /// <param name="lensInReferenceMetres">The lens's centre in the reference camera frame.</param>
    public static CameraMount FromRotationVector(Vector3D rotationVectorRadians, Vector3D lensInReferenceMetres) =>
        new(Matrix3D.FromRotationVector(rotationVectorRadians), lensInReferenceMetres);

    /// <summary>A point given in the reference band's camera frame, in this band's; metres.</summary>
    public Vector3D ToBand(Vector3D inReferenceMetres) => ReferenceToBand * (inReferenceMetres - LensInReferenceMetres);

    /// <summary>A point given in this band's camera frame, in the reference band's; metres.</summary>
    public Vector3D ToReference(Vector3D inBandMetres) =>
        (ReferenceToBand.Transposed() * inBandMetres) + LensInReferenceMetres;

    /// <summary>The pose of this band's camera when the reference band's is known.</summary>
    public CameraPose PoseOfBand(CameraPose reference) =>
        new(
            reference.CentreLocalMetres + (reference.LocalToCamera.Transposed() * LensInReferenceMetres),
            ReferenceToBand * reference.LocalToCamera
        );
}
