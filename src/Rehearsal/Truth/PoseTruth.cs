namespace Hillrow.Rehearsal;

/// <summary>One capture's truth on disk: poses and light, plain numbers.</summary>
public sealed record PoseTruth(
    int Number,
    bool IsPanel,
    DateTimeOffset Moment,
    double Seconds,
    IReadOnlyList<double> PositionLocalMetres,
    double YawDegrees,
    double PitchDegrees,
    double RollDegrees,
    double LatitudeDegrees,
    double LongitudeDegrees,
    double HeightAboveEllipsoidMetres,
    IReadOnlyList<double> ReportedLocalMetres,
    double BeamShare,
    double SkyFactor,
    IReadOnlyList<double> DirectHorizontalIrradiance,
    IReadOnlyList<double> DiffuseIrradiance,
    IReadOnlyList<double> StrayRadiance,
    double WindAmplitudeMetres
)
{
    public static PoseTruth Of(RehearsalCapture capture, EstatePlace place)
    {
        ArgumentNullException.ThrowIfNull(capture);
        ArgumentNullException.ThrowIfNull(place);
        CaptureTruth truth = capture.Truth;
        Numerics.Vector3D at = truth.Pose.PositionMetres;
        Numerics.Vector3D said = capture.Reported.PositionMetres;
        Earth.GeodeticPosition geodetic = place.ToGeodetic(at);
        return new PoseTruth(
            capture.Number,
            capture.IsPanel,
            capture.Moment,
            truth.Seconds,
            [at.X, at.Y, at.Z],
            truth.Pose.YawDegrees,
            truth.Pose.PitchDegrees,
            truth.Pose.RollDegrees,
            geodetic.Latitude.Degrees,
            geodetic.Longitude.Degrees,
            geodetic.HeightAboveEllipsoidMetres,
            [said.X, said.Y, said.Z],
            truth.BeamShare,
            truth.SkyFactor,
            [.. truth.ClearIrradiance.Select(band => band.DirectHorizontal)],
            [.. truth.ClearIrradiance.Select(band => band.Diffuse)],
            [.. truth.StrayRadiance],
            truth.WindAmplitudeMetres
        );
    }

    public RigPose Pose =>
        new(
            new Numerics.Vector3D(PositionLocalMetres[0], PositionLocalMetres[1], PositionLocalMetres[2]),
            YawDegrees,
            PitchDegrees,
            RollDegrees
        );
}

/// <summary>One true lens on disk: optics without the residual field, mount, sensor.</summary>
public sealed record LensTruth(
    string Band,
    IReadOnlyList<double> FocalPixels,
    IReadOnlyList<double> PrincipalPointPixels,
    IReadOnlyList<double> Radial,
    IReadOnlyList<double> Decentring,
    IReadOnlyList<double> OffsetMetres,
    IReadOnlyList<double> RotationVectorRadians,
    double BlackCounts,
    double ElectronsPerCount,
    IReadOnlyList<double> Falloff,
    double StrayShare
)
{
    public static LensTruth Of(RigLens lens)
    {
        ArgumentNullException.ThrowIfNull(lens);
        Numerics.Vector3D turn = lens.CameraToRig.ToRotationVector();
        return new LensTruth(
            lens.Band.Name,
            [lens.Lens.FocalColumns, lens.Lens.FocalRows],
            [lens.Lens.CentreColumn, lens.Lens.CentreRow],
            [lens.Lens.Radial1, lens.Lens.Radial2, lens.Lens.Radial3],
            [lens.Lens.Decentring1, lens.Lens.Decentring2],
            [lens.OffsetMetres.X, lens.OffsetMetres.Y, lens.OffsetMetres.Z],
            [turn.X, turn.Y, turn.Z],
            lens.Sensor.BlackCounts,
            lens.Sensor.ElectronsPerCount,
            lens.Sensor.Falloff,
            lens.Sensor.StrayShare
        );
    }
}
