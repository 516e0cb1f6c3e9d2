using System.Globalization;
using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Planning;
using NetTopologySuite.Geometries;
using NetTopologySuite.Geometries.Prepared;

namespace Hillrow.Estate;

/// <summary>Whether a plan for the day is there, flies every block, and fits camera and batteries.</summary>
internal static class PackPlan
{
    private const double PlaceStepMetres = 10;
    private const double MostPlaces = 2000;

    /// <summary>Outlines' corners lie beyond the last line's middle.</summary>
    private const double WholeShare = 0.98;

    public static FiledPlan? Look(
        EstateFolder estate,
        PackWishes wishes,
        IReadOnlyList<Block> blocks,
        IReadOnlyList<CameraProfile> cameras,
        List<PackItem> items
    )
    {
        FiledPlan? plan = null;
        try
        {
            plan = FiledPlans.Choose(estate, wishes.Plan, wishes.Day);
            items.Add(
                plan is null
                    ? new PackItem(
                        PackState.Missing,
                        "plan",
                        "no flight is planned.",
                        "Plan the day's flights with `hillrow plan`."
                    )
                    : new PackItem(
                        PackState.Ready,
                        "plan",
                        string.Create(
                            CultureInfo.InvariantCulture,
                            $"{plan.Name}: {plan.Sorties.Count} {(plan.Sorties.Count == 1 ? "sortie" : "sorties")}, {plan.CaptureCount} captures, {plan.Sorties.Sum(sortie => sortie.Seconds) / 60:0} min in the air."
                        )
                    )
            );
        }
        catch (InputProblemException fault)
        {
            items.Add(new PackItem(PackState.Missing, "plan", fault.Problem, fault.Remedy));
        }

        if (plan is null)
        {
            foreach (CameraProfile camera in cameras)
            {
                items.Add(PackCameras.Panel(camera));
            }

            return null;
        }

        if (plan.Date is { } date && date != wishes.Day)
        {
            items.Add(
                new PackItem(
                    PackState.Caution,
                    "plan",
                    string.Create(
                        CultureInfo.InvariantCulture,
                        $"{plan.Name} was made for {date:yyyy-MM-dd}, not for {wishes.Day:yyyy-MM-dd}: its hours of good light may differ."
                    ),
                    "Plan again with the day's date, or fly by your own eyes on the light."
                )
            );
        }

        if (cameras.FirstOrDefault(camera => camera.Name == plan.CameraName) is { } flown)
        {
            items.Add(PackCameras.Panel(flown));
        }
        else
        {
            items.Add(
                new PackItem(
                    PackState.Missing,
                    "camera",
                    $"{plan.Name} is for the camera {plan.CameraName}, whose profile is not in cameras/.",
                    "Put its profile there, or plan again with the camera that flies."
                )
            );
        }

        items.AddRange(Unflown(estate, blocks, cameras, plan));
        return plan;
    }

    public static PackItem Batteries(FiledPlan plan, AircraftProfile? aircraft, int? charged)
    {
        string needs = string.Create(
            CultureInfo.InvariantCulture,
            $"{plan.Sorties.Count} charged for {plan.Sorties.Count} {(plan.Sorties.Count == 1 ? "sortie" : "sorties")}, {string.Join(" + ", plan.Sorties.Select(sortie => (sortie.Seconds / 60).ToString("0", CultureInfo.InvariantCulture)))} min"
        );
        if (charged < plan.Sorties.Count)
        {
            return new PackItem(
                PackState.Missing,
                "batteries",
                $"{needs}; {charged} are at hand.",
                "Charge more, take a charger along, or plan fewer blocks."
            );
        }

        if (
            aircraft is not null
            && plan.Sorties.FirstOrDefault(sortie =>
                sortie.EnergyWattHours > aircraft.BatteryWattHours * (1 - aircraft.ReserveShare) * 1.001
            )
                is { } heavy
        )
        {
            return new PackItem(
                PackState.Missing,
                "batteries",
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"sortie {heavy.Number} needs {heavy.EnergyWattHours:0} Wh; {aircraft.Name} has {aircraft.BatteryWattHours:0} Wh and keeps {100 * aircraft.ReserveShare:0} % back."
                ),
                "Plan again: the aircraft's profile has changed since."
            );
        }

        return charged is null
            ? new PackItem(
                PackState.Caution,
                "batteries",
                $"{needs}; how many are charged is not told.",
                "Count them, or tell them with --batteries."
            )
            : new PackItem(PackState.Ready, "batteries", $"{needs}; {charged} are at hand.");
    }

    /// <summary>Blocks that no planned frame reaches, or only in part: by the frames' half width, not by rays.</summary>
    private static IEnumerable<PackItem> Unflown(
        EstateFolder estate,
        IReadOnlyList<Block> blocks,
        IReadOnlyList<CameraProfile> cameras,
        FiledPlan plan
    )
    {
        if (cameras.FirstOrDefault(camera => camera.Name == plan.CameraName) is not { } camera)
        {
            yield break;
        }

        PlanCamera seen = PlanCamera.Of(camera);
        double reach = plan.Asked.HeightMetres * seen.PixelAngleRadians * seen.Lens.Columns / 2;
        Point[] triggers =
        [
            .. plan
                .Sorties.SelectMany(sortie => sortie.Captures)
                .Select(capture =>
                {
                    GeodeticPosition place = plan.Frame.ToGeodetic(capture.PositionLocalMetres);
                    GridPoint at = estate.ReferenceSystem.ToGrid(new GeographicPoint(place.Latitude, place.Longitude));
                    return new Point(at.EastingMetres, at.NorthingMetres);
                }),
        ];
        HashSet<(long, long)> reached = [];
        foreach (Point trigger in triggers)
        {
            int cells = (int)Math.Ceiling(reach / PlaceStepMetres);
            long column = (long)Math.Floor(trigger.X / PlaceStepMetres);
            long row = (long)Math.Floor(trigger.Y / PlaceStepMetres);
            for (int down = -cells; down <= cells; down++)
            {
                for (int across = -cells; across <= cells; across++)
                {
                    if (Math.Sqrt((down * down) + (across * across)) * PlaceStepMetres <= reach)
                    {
                        reached.Add((column + across, row + down));
                    }
                }
            }
        }

        foreach (Block block in blocks.Where(block => !block.Boundary.IsEmpty))
        {
            IPreparedGeometry inside = PreparedGeometryFactory.Prepare(block.Boundary);
            Envelope box = block.Boundary.EnvelopeInternal;
            double step = Math.Max(PlaceStepMetres, Math.Sqrt(box.Area / MostPlaces));
            int all = 0;
            int flown = 0;
            for (double y = box.MinY + (step / 2); y < box.MaxY; y += step)
            {
                for (double x = box.MinX + (step / 2); x < box.MaxX; x += step)
                {
                    if (inside.Contains(new Point(x, y)))
                    {
                        all++;
                        flown += reached.Contains(
                            ((long)Math.Floor(x / PlaceStepMetres), (long)Math.Floor(y / PlaceStepMetres))
                        )
                            ? 1
                            : 0;
                    }
                }
            }

            double share = all == 0 ? 1 : flown / (double)all;
            if (share < WholeShare)
            {
                yield return new PackItem(
                    PackState.Caution,
                    "plan",
                    share == 0
                        ? $"{plan.Name} does not fly {block.Name}."
                        : string.Create(
                            CultureInfo.InvariantCulture,
                            $"{plan.Name} flies only about {100 * share:0} % of {block.Name}."
                        ),
                    "Plan again if the block is to be flown."
                );
            }
        }
    }
}
