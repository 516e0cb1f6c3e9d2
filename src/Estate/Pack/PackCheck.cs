using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Planning;

namespace Hillrow.Estate;

/// <summary>Looks, before departure, whether all that the day's flights need is on this laptop.</summary>
public static class PackCheck
{
    /// <summary>Everything is looked at, however much is missing.</summary>
    public static PackReport Look(EstateFolder estate, PackWishes wishes)
    {
        ArgumentNullException.ThrowIfNull(estate);
        ArgumentNullException.ThrowIfNull(wishes);
        List<PackItem> items = [];
        IReadOnlyList<Block> blocks = new BlockBook(estate).Blocks();
        items.AddRange(Blocks(blocks));
        items.AddRange(PackTerrain.Look(estate, blocks));
        items.Add(Geoid(estate, blocks));
        IReadOnlyList<CameraProfile> cameras = PackCameras.Look(estate, items);
        AircraftProfile? aircraft = Aircraft(estate, items);
        FiledPlan? plan = PackPlan.Look(estate, wishes, blocks, cameras, items);
        if (plan is not null)
        {
            items.Add(PackPlan.Batteries(plan, aircraft, wishes.Batteries));
        }

        CameraProfile? camera =
            cameras.FirstOrDefault(one => one.Name == plan?.CameraName) ?? (cameras.Count == 1 ? cameras[0] : null);
        (long needed, long free) = PackDisk.Look(estate, wishes, plan, camera, items);
        return new PackReport
        {
            Items = items,
            Plan = plan?.Name,
            Sorties = plan?.Sorties.Count ?? 0,
            Captures = plan?.CaptureCount ?? 0,
            BytesNeeded = needed,
            BytesFree = free,
        };
    }

    private static IEnumerable<PackItem> Blocks(IReadOnlyList<Block> blocks)
    {
        if (blocks.Count == 0)
        {
            yield return new PackItem(
                PackState.Missing,
                "blocks",
                "the estate has no blocks.",
                "Bring the boundaries with `hillrow block import`."
            );
            yield break;
        }

        foreach (Block block in blocks.Where(block => block.Boundary.IsEmpty || !block.Boundary.IsValid))
        {
            yield return new PackItem(
                PackState.Missing,
                "blocks",
                $"{block.Name} has no outline that can be used.",
                "Bring its outline again with `hillrow block import --replace`."
            );
        }

        yield return new PackItem(
            PackState.Ready,
            "blocks",
            FormattableString.Invariant(
                $"{blocks.Count} with outlines, {blocks.Sum(block => block.AreaSquareMetres) / 10_000:0.0} ha."
            )
        );
        string[] unsaid = [.. blocks.Where(block => block.Facts.RowSpacingMetres is null).Select(block => block.Name)];
        if (unsaid.Length > 0)
        {
            yield return new PackItem(
                PackState.Caution,
                "blocks",
                $"row spacing is not told for {string.Join(", ", unsaid.Take(6))}{(unsaid.Length > 6 ? " and more" : "")}.",
                "Tell it with `hillrow block edit --row-spacing`: finding rows is surer with it."
            );
        }
    }

    private static PackItem Geoid(EstateFolder estate, IReadOnlyList<Block> blocks)
    {
        GeographicPoint place =
            blocks.Count > 0 && !blocks[0].Boundary.IsEmpty
                ? estate.ReferenceSystem.ToWgs84(blocks[0].Boundary.Centroid.X, blocks[0].Boundary.Centroid.Y)
                : estate.ReferenceSystem.ToWgs84(500_000, 0);
        double metres = GeoidModel.Egm96.UndulationMetres(place);
        return new PackItem(
            PackState.Ready,
            "geoid",
            FormattableString.Invariant($"{GeoidModel.Egm96.Name}, inside the program; {metres:0.0} m at the blocks.")
        );
    }

    private static AircraftProfile? Aircraft(EstateFolder estate, List<PackItem> items)
    {
        string folder = PlanInputs.FlightsFolder(estate);
        string[] files = Directory.Exists(folder)
            ? [.. Directory.GetFiles(folder, "*.toml").Order(StringComparer.Ordinal)]
            : [];
        if (files.Length == 0)
        {
            items.Add(
                new PackItem(
                    PackState.Caution,
                    "aircraft",
                    "no aircraft profile: plans take a cautious small aircraft.",
                    "Write your own aircraft's figures into flights/aircraft.toml (docs/stages/1-planning.md)."
                )
            );
            return null;
        }

        List<AircraftProfile> read = [];
        foreach (string file in files)
        {
            try
            {
                AircraftProfile profile = AircraftToml.Load(file);
                read.Add(profile);
                items.Add(
                    new PackItem(
                        PackState.Ready,
                        "aircraft",
                        FormattableString.Invariant(
                            $"{profile.Name}, {profile.BatteryWattHours:0} Wh ({estate.Shown(file)})."
                        )
                    )
                );
            }
            catch (InputProblemException fault)
            {
                items.Add(
                    new PackItem(PackState.Missing, "aircraft", $"{estate.Shown(file)}: {fault.Problem}", fault.Remedy)
                );
            }
        }

        return read.Count == 1 ? read[0] : null;
    }
}
