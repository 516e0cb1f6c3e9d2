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

    private static void CompareTurn(
        this CheckTally tally,
        string caseId,
        string quantity,
        Angle got,
        double wantedDegrees
    ) => tally.Compare(caseId, quantity, (got - Angle.FromDegrees(wantedDegrees)).WrappedSigned().Degrees, 0, 1e-7);
}
