using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>Settles which camera profile of the estate a survey was flown with.</summary>
internal static class CameraChoice
{
    /// <param name="estate">The estate.</param>
    /// <param name="wish">A profile file (copied into the estate when it lies elsewhere), a name there, or null.</param>
    /// <returns>Relative to the estate.</returns>
    /// <exception cref="InputProblemException">None, several, or not a profile.</exception>
    public static string Settle(EstateFolder estate, string? wish)
    {
        string[] known = Directory.Exists(estate.CamerasFolder)
            ? [.. Directory.GetFiles(estate.CamerasFolder, "*.toml").Order(StringComparer.Ordinal)]
            : [];
        string[] names = [.. known.Select(file => Path.GetFileNameWithoutExtension(file))];
        if (wish is null)
        {
            return known.Length == 1
                ? Relative(known[0])
                : throw new InputProblemException(
                    estate.CamerasFolder,
                    known.Length == 0 ? "has no camera profile." : $"has {known.Length} camera profiles.",
                    known.Length == 0
                        ? "Name the camera's profile with --camera FILE; docs/camera-profiles.md says how to write one."
                        : $"Say which with --camera: {string.Join(", ", names)}."
                );
        }

        if (names.Contains(wish))
        {
            return Relative(Path.Combine(estate.CamerasFolder, wish + ".toml"));
        }

        if (!File.Exists(wish))
        {
            string near = NearestWord.To(wish, names) is { } word ? $"Did you mean {word}? " : "";
            throw new InputProblemException(
                "--camera",
                $"\"{wish}\" is neither a file nor a profile of the estate.",
                $"{near}Name a profile file, or one of the estate's cameras."
            );
        }

        CameraProfile.Load(wish);
        string target = Path.Combine(estate.CamerasFolder, Path.GetFileName(wish));
        if (Path.GetFullPath(wish) != Path.GetFullPath(target))
        {
            string text = File.ReadAllText(wish);
            if (File.Exists(target) && File.ReadAllText(target) != text)
            {
                throw new InputProblemException(
                    target,
                    "is another profile of the same name.",
                    "Rename the file, or name the estate's own profile."
                );
            }

            DurableFiles.CreateFolder(estate.CamerasFolder);
            DurableFiles.WriteAllText(target, text);
        }

        return Relative(target);
    }

    private static string Relative(string file) => "cameras/" + Path.GetFileName(file);
}
