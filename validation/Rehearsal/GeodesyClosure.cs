using System.Diagnostics;
using System.Globalization;
using Hillrow.Earth;
using Hillrow.Numerics;
using Hillrow.Rehearsal;

namespace Hillrow.Validation.Rehearsal;

/// <summary>Map places of the modelled estate against PROJ's cs2cs.</summary>
public sealed class GeodesyClosure : FigureSource
{
    public override string Area => "rehearsal";

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        EstatePlace place = EstatePlace.InventedValley;
        List<Vector3D> points = [];
        foreach (ulong seed in RehearsedDay.Seeds(run))
        {
            SplittableRandom draw = new(seed);
            for (int index = 0; index < 200; index++)
            {
                points.Add(
                    new Vector3D(draw.NextDouble(-900, 900), draw.NextDouble(-900, 900), draw.NextDouble(-60, 160))
                );
            }
        }

        double worst = double.NaN;
        string how = "cs2cs is not installed";
        if (AskProj(place, points) is { } maps)
        {
            worst = 0;
            for (int index = 0; index < points.Count; index++)
            {
                GridPoint own = place.ToMap(points[index]);
                worst = Math.Max(worst, Math.Abs(own.EastingMetres - maps[index].EastingMetres));
                worst = Math.Max(worst, Math.Abs(own.NorthingMetres - maps[index].NorthingMetres));
            }

            how =
                $"{points.Count} local points within 900 m: PROJ's topocentric and UTM pipelines against ours, zone {place.Zone}";
        }

        yield return new Figure("geodesy.maxErrorToProjMetres", worst, how);
    }

    private static List<GridPoint>? AskProj(EstatePlace place, List<Vector3D> points)
    {
        GeodeticPosition origin = place.Frame.Origin;
        string pipeline = string.Create(
            CultureInfo.InvariantCulture,
            $"+proj=pipeline +step +inv +proj=topocentric +ellps=WGS84 +lon_0={origin.Longitude.Degrees:R} +lat_0={origin.Latitude.Degrees:R} +h_0={origin.HeightAboveEllipsoidMetres:R} +step +inv +proj=cart +ellps=WGS84 +step +proj=utm +zone={place.Zone.Number} {(place.Zone.North ? "" : "+south ")}+ellps=WGS84"
        );
        ProcessStartInfo start = new("cct", ["-d", "6", .. pipeline.Split(' ', StringSplitOptions.RemoveEmptyEntries)])
        {
            UseShellExecute = false,
            RedirectStandardInput = true,
            RedirectStandardOutput = true,
        };
        try
        {
            using Process process = Process.Start(start)!;
            foreach (Vector3D point in points)
            {
                process.StandardInput.WriteLine(
                    string.Create(CultureInfo.InvariantCulture, $"{point.X:R} {point.Y:R} {point.Z:R} 0")
                );
            }

            process.StandardInput.Close();
            List<GridPoint> maps = [];
            while (process.StandardOutput.ReadLine() is { } line)
            {
                string[] parts = line.Split((char[]?)null, StringSplitOptions.RemoveEmptyEntries);
                maps.Add(
                    new GridPoint(
                        double.Parse(parts[0], CultureInfo.InvariantCulture),
                        double.Parse(parts[1], CultureInfo.InvariantCulture)
                    )
                );
            }

            process.WaitForExit();
            return maps.Count == points.Count ? maps : null;
        }
        catch (System.ComponentModel.Win32Exception)
        {
            return null;
        }
    }
}
