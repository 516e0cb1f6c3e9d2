using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Radiometry;

/// <summary>Where the sun and the ground are, as one placed capture has them.</summary>
internal static class CaptureSurroundings
{
    /// <summary>Unit direction to the sun in the survey's local frame, metres east, north, up; zero when the capture's time is not known.</summary>
    public static Vector3D SunAt(SurveyGeometry geometry, PlacedCapture placed, Capture capture)
    {
        if (capture.TimeUtc is not { } time)
        {
            return Vector3D.Zero;
        }

        GeodeticPosition place = geometry.Frame.ToGeodetic(placed.Pose.CentreLocalMetres);
        return geometry.Frame.FromAxesAt(new GeographicPoint(place.Latitude, place.Longitude))
            * SunPosition.At(time, place).Direction;
    }

    /// <summary>Metres of a camera above the ground below it, at least 1; above the surface's middle height where it is void.</summary>
    public static double HeightAbove(HeightField surface, CameraPose pose)
    {
        Vector3D at = pose.CentreLocalMetres;
        double ground = surface.HeightAt(at.X, at.Y);
        return Math.Max(
            1,
            at.Z - (double.IsFinite(ground) ? ground : (surface.LowestMetres + surface.HighestMetres) / 2)
        );
    }
}
