using System.Globalization;
using Hillrow.Imaging;
using Hillrow.Planning;

namespace Hillrow.Estate;

/// <summary>Room on the disk for the day's captures and what a run makes of them.</summary>
internal static class PackDisk
{
    /// <summary>
    /// What a run keeps of a survey, against its captures as 16-bit frames: 0.31 on the rehearsed estate of seed 1
    /// (220 MB of 710 MB), rounded up; and the same once more, for while a step is done over both its outputs stand.
    /// </summary>
    private const double ProductsShare = 0.4;

    private const double WorkingShare = 0.4;

    public static (long Needed, long Free) Look(
        EstateFolder estate,
        PackWishes wishes,
        FiledPlan? plan,
        CameraProfile? camera,
        List<PackItem> items
    )
    {
        static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
        long free;
        try
        {
            free = wishes.FreeBytes?.Invoke(estate.Root) ?? new DriveInfo(estate.Root).AvailableFreeSpace;
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException or ArgumentException)
        {
            items.Add(
                new PackItem(
                    PackState.Caution,
                    "disk",
                    "how much room the estate's disk has cannot be told.",
                    "Look yourself, with the figures of the flight card."
                )
            );
            return (0, 0);
        }

        if (plan is null || camera is null)
        {
            items.Add(
                new PackItem(
                    PackState.Caution,
                    "disk",
                    Text($"{Gigabytes(free):0.0} GB free; without a plan and its camera the need is not known."),
                    "Plan the day's flights with `hillrow plan`."
                )
            );
            return (0, free);
        }

        long captures = plan.CaptureCount * PlanCamera.Of(camera).BytesPerCapture;
        long left = (long)(estate.Settings.Limits.FreeDiskGibibytes * (1L << 30));
        long needed = (long)(captures * (1 + ProductsShare + WorkingShare)) + left;
        string told = Text(
            $"{Gigabytes(free):0.0} GB free; up to {Gigabytes(needed):0.0} GB needed: {Gigabytes(captures):0.0} for {plan.CaptureCount} captures copied from the card, {Gigabytes((long)(captures * ProductsShare)):0.0} for maps, {Gigabytes((long)(captures * WorkingShare)):0.0} while working, {Gigabytes(left):0.0} left free."
        );
        items.Add(
            free >= needed
                ? new PackItem(PackState.Ready, "disk", told)
                : new PackItem(
                    PackState.Missing,
                    "disk",
                    told,
                    "Make room, or move the estate to a larger disk; `hillrow survey add --link` leaves captures on another disk."
                )
        );
        return (needed, free);
    }

    private static double Gigabytes(long bytes) => bytes / 1e9;
}
