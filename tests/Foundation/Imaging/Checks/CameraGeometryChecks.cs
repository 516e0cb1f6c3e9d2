using System.Text.Json;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.TestSupport;
using static Hillrow.Checks.CheckCameras;

namespace Hillrow.Checks;

/// <summary>Every case of tests/Reference/camera-geometry against our lenses, rotations and geometry kernels.</summary>
public static class CameraGeometryChecks
{
    public static CheckTally Projection()
    {
        CheckBook book = CheckBook.Open("camera-geometry", "projection.json");
        CheckTally tally = new();
        foreach (CheckCase check in book.Cases)
        {
            BrownConradyLens lens = Lens(book, check);
            Vector3D inCamera =
                (Matrix3D.FromRotationVector(Vector(check.In.GetProperty("rvec"))) * Vector(check.In.GetProperty("X")))
                + Vector(check.In.GetProperty("tvec"));
            tally.IsTrue(check.Id, "projects", lens.TryProject(inCamera, out PixelPoint pixel));
            double u = check.Out.GetProperty("u").GetDouble();
            double v = check.Out.GetProperty("v").GetDouble();
            tally.Compare(check.Id, "u", pixel.Column - 0.5, u, 1e-6);
            tally.Compare(check.Id, "v", pixel.Row - 0.5, v, 1e-6);
            tally.IsTrue(
                check.Id,
                "undistorts",
                lens.TryUndistort(FromCentreConvention(u, v), out double x, out double y)
            );
            tally.Compare(check.Id, "xn", x, check.Out.GetProperty("xn").GetDouble(), 1e-9);
            tally.Compare(check.Id, "yn", y, check.Out.GetProperty("yn").GetDouble(), 1e-9);
        }

        return tally;
    }

    public static CheckTally Rodrigues()
    {
        CheckTally tally = new();
        foreach (CheckCase check in CheckBook.Open("camera-geometry", "rodrigues.json").Cases)
        {
            Vector3D given = Vector(check.In.GetProperty("rvec"));
            Matrix3D matrix = Matrix3D.FromRotationVector(given);
            tally.Compare(check.Id, "R", matrix, Matrix(check.Out.GetProperty("R_rows")), 1e-12);
            double[] wanted = Doubles(check.Out.GetProperty("quat_wxyz"));
            Vector3D back = matrix.ToRotationVector();
            double half = back.Length / 2;
            Vector3D imaginary = back.Length > 0 ? back * (Math.Sin(half) / back.Length) : Vector3D.Zero;
            double[] got = [Math.Cos(half), imaginary.X, imaginary.Y, imaginary.Z];

            // Near a half turn the quaternion's sign is free.
            double sign = got.Zip(wanted, (a, b) => a * b).Sum() < 0 ? -1 : 1;
            for (int index = 0; index < 4; index++)
            {
                tally.Compare(check.Id, $"quaternion {index}", sign * got[index], wanted[index], 1e-9);
            }
        }

        return tally;
    }

    public static CheckTally RotationConventions()
    {
        CheckTally tally = new();
        foreach (CheckCase check in CheckBook.Open("camera-geometry", "rotation_conventions.json").Cases)
        {
            double Out(string name) => check.Out.GetProperty(name).GetDouble();
            Attitude attitude = Attitude.FromDegrees(
                check.In.GetProperty("yaw_deg").GetDouble(),
                check.In.GetProperty("pitch_deg").GetDouble(),
                check.In.GetProperty("roll_deg").GetDouble()
            );
            Matrix3D rotation = attitude.EnuToCamera();
            OmegaPhiKappa angles = OmegaPhiKappa.FromEnuToCamera(rotation);
            tally.Compare(
                check.Id,
                "C",
                attitude.NedToBody(),
                Matrix(check.Out.GetProperty("C_ned_to_body_rows")),
                1e-10
            );
            tally.Compare(
                check.Id,
                "M",
                angles.EnuToPhoto(),
                Matrix(check.Out.GetProperty("M_enu_to_photo_rows")),
                1e-10
            );
            tally.Compare(check.Id, "R", rotation, Matrix(check.Out.GetProperty("R_enu_to_cv_rows")), 1e-10);
            tally.CompareTurn(check.Id, "omega", angles.Omega, Out("omega_deg"));
            tally.CompareTurn(check.Id, "phi", angles.Phi, Out("phi_deg"));
            tally.CompareTurn(check.Id, "kappa", angles.Kappa, Out("kappa_deg"));
            CameraPose pose = CameraPose.FromAttitude(Vector3D.Zero, attitude);
            tally.Compare(check.Id, "look", pose.ViewLocal, Vector(check.Out.GetProperty("look_enu")), 1e-10);
            tally.CompareTurn(check.Id, "off nadir", pose.OffNadir, Out("off_nadir_deg"));

            // Straight down there is no azimuth of view.
            if (pose.OffNadir.Degrees > 1e-6)
            {
                tally.CompareTurn(check.Id, "look azimuth", pose.ViewAzimuth, Out("look_azimuth_deg"));
            }

            // The way back, as the same rotation (angles may be told differently near the vertical).
            tally.Compare(check.Id, "back", Attitude.FromEnuToCamera(rotation).EnuToCamera(), rotation, 1e-10);
        }

        return tally;
    }

    public static CheckTally GroundSampleAndOverlap()
    {
        CheckTally tally = new();
        foreach (CheckCase check in CheckBook.Open("camera-geometry", "gsd_overlap.json").Cases)
        {
            double In(string name) => check.In.GetProperty(name).GetDouble();
            Dictionary<string, double> got = new(StringComparer.Ordinal);
            if (check.In.TryGetProperty("pixel_um", out _))
            {
                int across = (int)In("pixels_across");
                int along = (int)In("pixels_along");
                double gsd = VerticalPhoto.GroundSampleMetres(In("height_agl_m"), In("pixel_um"), In("focal_mm"));
                got["gsd_m"] = gsd;
                got["footprint_across_m"] = VerticalPhoto.FootprintMetres(across, gsd);
                got["footprint_along_m"] = VerticalPhoto.FootprintMetres(along, gsd);
                got["base_m"] = VerticalPhoto.SpacingMetres(got["footprint_along_m"], In("forward_overlap"));
                got["line_spacing_m"] = VerticalPhoto.SpacingMetres(got["footprint_across_m"], In("side_overlap"));
                got["trigger_interval_s"] = VerticalPhoto.TriggerIntervalSeconds(got["base_m"], In("speed_m_s"));
                got["blur_px_at_1ms"] = VerticalPhoto.BlurPixels(In("speed_m_s"), 0.001, gsd);
                got["hfov_deg"] = VerticalPhoto.FieldOfView(across, In("pixel_um"), In("focal_mm")).Degrees;
                got["vfov_deg"] = VerticalPhoto.FieldOfView(along, In("pixel_um"), In("focal_mm")).Degrees;
            }
            else if (check.In.TryGetProperty("ground_rise_m", out _))
            {
                got["actual_overlap"] = VerticalPhoto.OverlapOverRisenGround(
                    In("planned_forward_overlap"),
                    In("planned_height_m"),
                    In("ground_rise_m")
                );
            }
            else if (check.In.TryGetProperty("format_mm", out _))
            {
                got["scale_denominator"] = VerticalPhoto.ScaleDenominator(
                    In("flying_height_above_mean_m"),
                    In("focal_mm")
                );
                got["ground_side_m"] = In("format_mm") * 1e-3 * got["scale_denominator"];
                got["air_base_m"] = VerticalPhoto.SpacingMetres(got["ground_side_m"], In("endlap"));
                got["line_spacing_m"] = VerticalPhoto.SpacingMetres(got["ground_side_m"], In("sidelap"));
                got["base_height_ratio"] = got["air_base_m"] / In("flying_height_above_mean_m");
            }
            else
            {
                got["displacement_mm"] = VerticalPhoto.ReliefDisplacement(
                    In("radial_mm"),
                    In("height_m"),
                    In("flying_height_above_base_m")
                );
            }

            foreach (JsonProperty wanted in check.Out.EnumerateObject())
            {
                tally.Compare(
                    check.Id,
                    wanted.Name,
                    got.GetValueOrDefault(wanted.Name, double.NaN),
                    wanted.Value.GetDouble(),
                    0,
                    1e-9
                );
            }
        }

        return tally;
    }

    public static CheckTally FootprintOnSlope()
    {
        CheckBook book = CheckBook.Open("camera-geometry", "footprint_on_slope.json");
        CheckTally tally = new();
        foreach (CheckCase check in book.Cases)
        {
            double In(string name) => check.In.GetProperty(name).GetDouble();
            PlaneFootprint? footprint = PlaneFootprint.Of(
                Lens(book, check),
                CameraPose.FromAttitude(
                    new Vector3D(0, 0, In("height_above_plane_origin_m")),
                    Attitude.FromDegrees(In("yaw_deg"), In("pitch_deg"), In("roll_deg"))
                ),
                new GroundPlane(Angle.FromDegrees(In("slope_deg")), Angle.FromDegrees(In("aspect_deg")))
            );
            tally.IsTrue(check.Id, "meets the plane", footprint is not null);
            for (int corner = 0; corner < 4 && footprint is not null; corner++)
            {
                Vector3D wanted = Vector(check.Out.GetProperty("corners_enu")[corner]);
                tally.Compare(check.Id, $"corner {corner}", footprint.CornersLocalMetres[corner], wanted, 1e-6);
            }

            tally.Compare(
                check.Id,
                "horizontal area",
                footprint?.HorizontalAreaSquareMetres ?? double.NaN,
                check.Out.GetProperty("horizontal_area_m2").GetDouble(),
                0,
                1e-8
            );
            tally.Compare(
                check.Id,
                "slope area",
                footprint?.SlopeAreaSquareMetres ?? double.NaN,
                check.Out.GetProperty("slope_area_m2").GetDouble(),
                0,
                1e-8
            );
            if (footprint is not null && check.Out.TryGetProperty("centre_enu", out JsonElement centre))
            {
                tally.Compare(check.Id, "centre", footprint.CentreLocalMetres, Vector(centre), 1e-6);
            }
        }

        return tally;
    }

    public static CheckTally TwoViewTriangulation()
    {
        CheckTally tally = new();
        foreach (CheckCase check in CheckBook.Open("camera-geometry", "triangulation.json").Cases)
        {
            // Matrices and pixels share the book's own pixel convention here, so nothing is shifted.
            ProjectionMatrix[] cameras =
            [
                Projection(check.In.GetProperty("P1_rows")),
                Projection(check.In.GetProperty("P2_rows")),
            ];
            double[] first = Doubles(check.In.GetProperty("uv1"));
            double[] second = Doubles(check.In.GetProperty("uv2"));
            PixelPoint[] pixels = [new(first[0], first[1]), new(second[0], second[1])];
            tally.Compare(
                check.Id,
                "X_dlt",
                Triangulation.Linear(cameras, pixels),
                Vector(check.Out.GetProperty("X_dlt")),
                1e-6
            );
            tally.Compare(
                check.Id,
                "X_min_reprojection",
                Triangulation.LeastReprojection(cameras, pixels),
                Vector(check.Out.GetProperty("X_min_reprojection")),
                1e-5
            );
        }

        return tally;
    }

    public static CheckTally PoseFromPoints()
    {
        CheckBook book = CheckBook.Open("camera-geometry", "resection.json");
        CheckTally tally = new();
        foreach (CheckCase check in book.Cases)
        {
            ResectionResult? got = Resection.Solve(
                Lens(book, check),
                [.. check.In.GetProperty("X").EnumerateArray().Select(Vector)],
                [
                    .. check
                        .In.GetProperty("uv")
                        .EnumerateArray()
                        .Select(Doubles)
                        .Select(uv => FromCentreConvention(uv[0], uv[1])),
                ]
            );
            tally.IsTrue(check.Id, "found", got is not null);
            if (got is not null)
            {
                tally.Compare(
                    check.Id,
                    "centre",
                    got.Pose.CentreLocalMetres,
                    Vector(check.Out.GetProperty("centre")),
                    1e-3
                );
                tally.Compare(check.Id, "R", got.Pose.LocalToCamera, Matrix(check.Out.GetProperty("R_rows")), 1e-5);
                tally.Compare(check.Id, "rms", got.RmsPixels, check.Out.GetProperty("rms_px").GetDouble(), 1e-5);
            }
        }

        return tally;
    }

    public static CheckTally PlaneHomography()
    {
        CheckTally tally = new();
        foreach (CheckCase check in CheckBook.Open("camera-geometry", "homography.json").Cases)
        {
            PixelPoint[] Places(string name) =>
                [
                    .. check
                        .In.GetProperty(name)
                        .EnumerateArray()
                        .Select(Doubles)
                        .Select(xy => new PixelPoint(xy[0], xy[1])),
                ];
            var got = Homography.Estimate(Places("from_xy"), Places("to_xy"));
            tally.IsTrue(check.Id, "found", got is not null);
            double[] probe = Doubles(check.Out.GetProperty("probe_from"));
            double[] wanted = Doubles(check.Out.GetProperty("probe_to"));
            PixelPoint mapped = Homography.Map(got?.Matrix ?? default, new PixelPoint(probe[0], probe[1]));
            tally.Compare(check.Id, "probe column", mapped.Column, wanted[0], 1e-3);
            tally.Compare(check.Id, "probe row", mapped.Row, wanted[1], 1e-3);
            tally.Compare(
                check.Id,
                "rms",
                got?.RmsPixels ?? double.NaN,
                check.Out.GetProperty("rms_px").GetDouble(),
                1e-6
            );
        }

        return tally;
    }

    /// <summary>All of the above.</summary>
    public static IReadOnlyList<CheckTally> All() =>
        [
            Projection(),
            Rodrigues(),
            RotationConventions(),
            GroundSampleAndOverlap(),
            FootprintOnSlope(),
            TwoViewTriangulation(),
            PoseFromPoints(),
            PlaneHomography(),
        ];

    private static ProjectionMatrix Projection(JsonElement rows)
    {
        double[][] p = [.. rows.EnumerateArray().Select(Doubles)];
        return new ProjectionMatrix(
            new Matrix3D(p[0][0], p[0][1], p[0][2], p[1][0], p[1][1], p[1][2], p[2][0], p[2][1], p[2][2]),
            new Vector3D(p[0][3], p[1][3], p[2][3])
        );
    }

    private static void CompareTurn(
        this CheckTally tally,
        string caseId,
        string quantity,
        Angle got,
        double wantedDegrees
    ) => tally.Compare(caseId, quantity, (got - Angle.FromDegrees(wantedDegrees)).WrappedSigned().Degrees, 0, 1e-7);
}
