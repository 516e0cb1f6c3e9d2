namespace Hillrow.Rehearsal;

/// <summary>The true thermal camera on disk: optics without the residual field, mount, and the sensor's errors.</summary>
public sealed record ThermalCameraTruth(
    IReadOnlyList<double> FocalPixels,
    IReadOnlyList<double> PrincipalPointPixels,
    IReadOnlyList<double> Radial,
    IReadOnlyList<double> OffsetMetres,
    IReadOnlyList<double> RotationVectorRadians,
    double GainError,
    double HousingKelvin,
    double DriftKelvin,
    double NoiseKelvin,
    double PatternKelvin
)
{
    public static ThermalCameraTruth Of(ThermalCamera camera)
    {
        ArgumentNullException.ThrowIfNull(camera);
        Numerics.Vector3D turn = camera.CameraToRig.ToRotationVector();
        return new ThermalCameraTruth(
            [camera.Lens.FocalColumns, camera.Lens.FocalRows],
            [camera.Lens.CentreColumn, camera.Lens.CentreRow],
            [camera.Lens.Radial1, camera.Lens.Radial2],
            [camera.OffsetMetres.X, camera.OffsetMetres.Y, camera.OffsetMetres.Z],
            [turn.X, turn.Y, turn.Z],
            camera.GainError,
            camera.HousingKelvin,
            camera.DriftKelvin,
            camera.NoiseKelvin,
            camera.PatternKelvin
        );
    }
}
