namespace Hillrow.Earth;

/// <summary>A geodetic datum, and how honestly we can tie it to WGS 84.</summary>
/// <param name="GeographicCode">EPSG code of its latitude/longitude system.</param>
/// <param name="Name">Name of that system in the EPSG data set.</param>
/// <param name="Ellipsoid">Its ellipsoid.</param>
/// <param name="ToWgs84">Shift to WGS 84; null when it is treated as WGS 84.</param>
/// <param name="AgreementMetres">
/// How far, at worst, a place can come out from its true WGS 84 place by this tie; for plate-fixed frames this is the
/// motion of the plate since their epoch.
/// </param>
public sealed record ReferenceDatum(
    int GeographicCode,
    string Name,
    Ellipsoid Ellipsoid,
    HelmertShift? ToWgs84,
    double AgreementMetres
)
{
    /// <summary>One sentence for reports.</summary>
    public string Told =>
        (ToWgs84, AgreementMetres) switch
        {
            (null, 0) => $"{Name} is the system used here.",
            (null, _) => FormattableString.Invariant(
                $"{Name} is treated as WGS 84; the two agree within about {AgreementMetres:0.#} m."
            ),
            _ => FormattableString.Invariant(
                $"{Name} is shifted to WGS 84 with its published parameters, good to about {AgreementMetres:0.#} m."
            ),
        };

    /// <summary>The place on WGS 84 of a place on this datum (at the ellipsoid's surface).</summary>
    public GeographicPoint ToWgs84Place(GeographicPoint place)
    {
        if (ToWgs84 is null)
        {
            return place;
        }

        GeodeticPosition moved = ToWgs84
            .Apply(GeocentricPosition.From(place.AtHeightAboveEllipsoid(0), Ellipsoid))
            .ToGeodetic(Ellipsoid.Wgs84);
        return new(moved.Latitude, moved.Longitude);
    }

    /// <summary>The place on this datum of a place on WGS 84 (at the ellipsoid's surface).</summary>
    public GeographicPoint FromWgs84Place(GeographicPoint place)
    {
        if (ToWgs84 is null)
        {
            return place;
        }

        GeodeticPosition moved = ToWgs84
            .Undo(GeocentricPosition.From(place.AtHeightAboveEllipsoid(0), Ellipsoid.Wgs84))
            .ToGeodetic(Ellipsoid);
        GeographicPoint found = new(moved.Latitude, moved.Longitude);

        // Each way drops the height the shift makes (tens of metres), which leaves millimetres: close the loop.
        for (int pass = 0; pass < 2; pass++)
        {
            GeographicPoint back = ToWgs84Place(found);
            found = new(
                found.Latitude + (place.Latitude - back.Latitude),
                found.Longitude + (place.Longitude - back.Longitude).WrappedSigned()
            );
        }

        return found;
    }
}
