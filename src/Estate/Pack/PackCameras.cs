using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>Camera profiles that parse, and whether the panel's certificate stands in them.</summary>
internal static class PackCameras
{
    public static IReadOnlyList<CameraProfile> Look(EstateFolder estate, List<PackItem> items)
    {
        string[] files = Directory.Exists(estate.CamerasFolder)
            ? [.. Directory.GetFiles(estate.CamerasFolder, "*.toml").Order(StringComparer.Ordinal)]
            : [];
        if (files.Length == 0)
        {
            items.Add(
                new PackItem(
                    PackState.Missing,
                    "camera",
                    "the estate has no camera profile.",
                    "Learn one from a folder of the camera's files with `hillrow camera learn`, and keep it in cameras/."
                )
            );
        }

        List<CameraProfile> read = [];
        foreach (string file in files)
        {
            try
            {
                CameraProfile profile = CameraProfile.Load(file);
                read.Add(profile);
                items.Add(
                    new PackItem(
                        PackState.Ready,
                        "camera",
                        $"{profile.Name}, {profile.Bands.Count} bands ({estate.Shown(file)})."
                    )
                );
            }
            catch (InputProblemException fault)
            {
                items.Add(
                    new PackItem(PackState.Missing, "camera", $"{estate.Shown(file)}: {fault.Problem}", fault.Remedy)
                );
            }
        }

        return read;
    }

    /// <summary>Reflectance comes from a panel of certified reflectance, or, less surely, from the irradiance sensor.</summary>
    public static PackItem Panel(CameraProfile camera)
    {
        if (camera.Panel is not { } panel)
        {
            return camera.IrradianceSensor is not null
                ? new PackItem(
                    PackState.Caution,
                    "panel",
                    $"{camera.Name} has no panel certificate: reflectance would rest on the irradiance sensor alone.",
                    "Write the panel's certified reflectance into the profile's [panel] (docs/camera-profiles.md)."
                )
                : new PackItem(
                    PackState.Missing,
                    "panel",
                    $"{camera.Name} has neither a panel certificate nor an irradiance sensor: no reflectance can be had.",
                    "Write the panel's certified reflectance into the profile's [panel] (docs/camera-profiles.md)."
                );
        }

        string[] untold =
        [
            .. camera
                .ReflectiveBands.Select(band => band.Name)
                .Where(band => !panel.Levels.Any(level => level.ReflectanceByBand.ContainsKey(band))),
        ];
        return untold.Length == 0
            ? new PackItem(
                PackState.Ready,
                "panel",
                $"certificate of {camera.Name}'s panel: {string.Join(", ", panel.Levels.Select(level => level.Name))}; take the panel itself along."
            )
            : new PackItem(
                PackState.Missing,
                "panel",
                $"the panel's certificate for {camera.Name} does not tell the bands {string.Join(", ", untold)}.",
                "Write their certified reflectance into the profile's [panel]."
            );
    }
}
