using Hillrow.Earth;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Mapping;

/// <summary>Where the sun stood for every capture of a survey.</summary>
public static class SunDirections
{
    /// <summary>Unit directions to the sun in the survey's local frame, refraction included; 0.0003° (see <see cref="SunPosition"/>).</summary>
    /// <param name="geometry">The survey.</param>
    /// <param name="times">UTC of each capture of the geometry, in its order.</param>
    /// <exception cref="ArgumentException">Counts differ.</exception>
    public static IReadOnlyList<Vector3D> At(SurveyGeometry geometry, IReadOnlyList<DateTimeOffset> times)
    {
        ArgumentNullException.ThrowIfNull(geometry);
        ArgumentNullException.ThrowIfNull(times);
        if (times.Count != geometry.Captures.Count)
        {
            throw new ArgumentException($"{times.Count} times for {geometry.Captures.Count} captures.", nameof(times));
        }

        Vector3D[] directions = new Vector3D[times.Count];
        for (int at = 0; at < directions.Length; at++)
        {
            GeodeticPosition place = geometry.Frame.ToGeodetic(geometry.Captures[at].Pose.CentreLocalMetres);
            Matrix3D turn = geometry.Frame.FromAxesAt(new GeographicPoint(place.Latitude, place.Longitude));
            directions[at] = turn * SunPosition.At(times[at], place).Direction;
        }

        return directions;
    }
}
