using Hillrow.Earth;
using Hillrow.Numerics;

namespace Hillrow.Reconstruction;

/// <summary>Finds recorded positions that no flight of the others can have reached: another country, height 0, nothing.</summary>
internal static class AstrayPositions
{
    /// <summary>Times the median distance from the middle of all.</summary>
    private const double Widths = 10;

    private const double LeastPlanMetres = 1000;
    private const double LeastHeightMetres = 300;

    /// <summary>No survey is wider.</summary>
    private const double FarthestMetres = 5000;

    /// <summary>So many others this near make a second block of it.</summary>
    private const int Company = 3;
    private const double CompanyMetres = 150;

    /// <summary>Index of each; none while there are fewer than four positions to compare.</summary>
    public static int[] Of(IReadOnlyList<GeodeticPosition?> places)
    {
        GeodeticPosition[] known = [.. places.Where(place => place is not null).Select(place => place!.Value)];
        if (known.Length < 4)
        {
            return [];
        }

        GeodeticPosition middle = new(
            Angle.FromRadians(Median(known.Select(place => place.Latitude.Radians))),
            Angle.FromRadians(Median(known.Select(place => place.Longitude.Radians))),
            Median(known.Select(place => place.HeightAboveEllipsoidMetres))
        );
        LocalFrame frame = new(middle);
        double Plan(GeodeticPosition place) =>
            frame
                .ToLocal(new GeodeticPosition(place.Latitude, place.Longitude, middle.HeightAboveEllipsoidMetres))
                .Length;
        double Up(GeodeticPosition place) =>
            Math.Abs(place.HeightAboveEllipsoidMetres - middle.HeightAboveEllipsoidMetres);
        double farthest = Math.Max(LeastPlanMetres, Widths * Median(known.Select(Plan)));
        double highest = Math.Max(LeastHeightMetres, Widths * Median(known.Select(Up)));
        Vector3D[] all = [.. known.Select(frame.ToLocal)];
        bool HasCompany(GeodeticPosition place)
        {
            Vector3D at = frame.ToLocal(place);
            return all.Count(other => (other - at).Length < CompanyMetres) > Company;
        }

        return
        [
            .. Enumerable
                .Range(0, places.Count)
                .Where(index =>
                    places[index] is { } place
                    && (
                        !(Plan(place) <= FarthestMetres)
                        || ((Plan(place) > farthest || !(Up(place) <= highest)) && !HasCompany(place))
                    )
                ),
        ];
    }

    private static double Median(IEnumerable<double> values)
    {
        double[] sorted = [.. values.Order()];
        return sorted[sorted.Length / 2];
    }
}
