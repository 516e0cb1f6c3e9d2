using Hillrow.Checks;
using Hillrow.TestSupport;

namespace Hillrow.Validation.Ground;

/// <summary>Geodesy, terrain and sun against tests/Reference.</summary>
public sealed class EarthFigures : FigureSource
{
    public override string Area => "ground";

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        yield return Share(
            "checks.geodesy.shareHolding",
            GeodesyChecks.Utm,
            GeodesyChecks.Ecef,
            GeodesyChecks.Enu,
            GeodesyChecks.Egm96,
            GeodesyChecks.GuidanceNote,
            GeodesyChecks.GeodesicInverse,
            GeodesyChecks.PolygonArea
        );
        yield return Share(
            "checks.terrain.shareHolding",
            TerrainChecks.Samples,
            TerrainChecks.Horizons,
            TerrainChecks.Profiles,
            TerrainChecks.Grids
        );
        yield return Share(
            "checks.solarPosition.shareHolding",
            SolarPositionChecks.WorkedExample,
            SolarPositionChecks.Positions,
            SolarPositionChecks.RiseAndSet
        );
        yield return new Figure(
            "sun.maxErrorDegrees",
            SolarPositionChecks.MaxErrorDegrees(),
            "worst angle to astropy's airless sun (sun_positions.json) and to the report's worked example"
        );
        yield return new Figure(
            "utm.maxErrorMetres",
            GeodesyChecks.UtmMaxErrorMetres(),
            "worst distance to GeographicLib's eastings and northings (utm.json), zone edges and neighbours included"
        );
    }

    private static Figure Share(string name, params Func<CheckTally>[] books)
    {
        CheckTally[] tallies = [.. books.Select(book => book())];
        int cases = tallies.Sum(tally => tally.CaseCount);
        double holding = tallies.Sum(tally => Math.Round(tally.ShareHolding * tally.CaseCount));
        string failing = string.Join("; ", tallies.SelectMany(tally => tally.Failures).Take(2));
        return new(
            name,
            cases == 0 ? 0 : holding / cases,
            $"{tallies.Sum(tally => tally.Comparisons)} comparisons in {cases} cases of tests/Reference{(failing.Length > 0 ? ": " + failing : "")}"
        );
    }
}
