using System.Globalization;
using Hillrow.Imaging;

namespace Hillrow.Intake;

/// <summary>Tells which band of the profile a frame is.</summary>
/// <remarks>
/// In the order of trust: the wavelength, the name, the number that the metadata tell; the page; a word of the file's
/// name. What metadata say beats how a file is called.
/// </remarks>
internal static class BandIdentity
{
    public static string? Of(
        CameraProfile profile,
        FrameMetadata metadata,
        string file,
        int page,
        int pages,
        List<IntakeNote> notes,
        CameraMark? mark = null
    )
    {
        string? byWavelength = ByWavelength(profile, metadata.CentreNanometres);
        string? byName = profile.Bands.FirstOrDefault(band => Same(band.Name, metadata.BandName))?.Name;
        string? byFile = ByFileName(profile, file);
        string? told = byWavelength ?? byName ?? ByNumber(profile, metadata.BandNumber);
        if (told is not null)
        {
            string? other =
                byName is not null && byName != told ? byName
                : pages == 1 && byFile is not null && byFile != told ? byFile
                : null;
            if (other is not null)
            {
                notes.Add(
                    new IntakeNote(
                        NoteWeight.Told,
                        file,
                        $"is called {other}, but its metadata say band {told}: taken as {told}.",
                        "Check the camera's band order if this is not so."
                    )
                    {
                        Fault = FrameFault.Misnamed,
                    }
                );
            }

            return told;
        }

        string? guess = pages > 1 && pages == profile.Bands.Count ? profile.Bands[page].Name : byFile;
        guess ??= profile.Bands.Count == 1 && pages == 1 ? profile.Bands[0].Name : null;
        if (guess is null)
        {
            string said =
                metadata.CentreNanometres is { } length
                    ? string.Create(CultureInfo.InvariantCulture, $"it says {length} nm")
                : metadata.BandName is { } name ? $"it says \"{name}\""
                : "nothing in it tells the band";
            notes.Add(
                new IntakeNote(
                    NoteWeight.Excluded,
                    pages > 1 ? $"{file}, page {page + 1}" : file,
                    $"belongs to no band of camera {profile.Name}: {said}.",
                    "Mend bandName, bandNumber or centreWavelength of the profile's metadata map; another camera's files need its own intake."
                )
                {
                    Fault = FrameFault.OtherCamera,
                    Camera = mark is { IsEmpty: false } ? mark.ToString() : "",
                }
            );
        }

        return guess;
    }

    private static string? ByWavelength(CameraProfile profile, double? nanometres)
    {
        if (nanometres is not { } length)
        {
            return null;
        }

        CameraBand nearest = profile.Bands.MinBy(band => Math.Abs(band.CentreNanometres - length))!;
        double reach = Math.Max(3, Math.Min(0.5 * nearest.WidthNanometres, 500));
        return Math.Abs(nearest.CentreNanometres - length) <= reach ? nearest.Name : null;
    }

    /// <summary>Only numbers from 1 are the profile's own order without doubt.</summary>
    private static string? ByNumber(CameraProfile profile, double? number) =>
        number is { } value && value >= 1 && value <= profile.Bands.Count && value == Math.Floor(value)
            ? profile.Bands[(int)value - 1].Name
            : null;

    private static string? ByFileName(CameraProfile profile, string file)
    {
        string[] parts = file.Split('/');
        return Mentioned(profile, [Path.GetFileNameWithoutExtension(file)]) ?? Mentioned(profile, parts[..^1]);
    }

    /// <summary>The one band that the texts name; "red edge" names no "red".</summary>
    private static string? Mentioned(CameraProfile profile, string[] texts)
    {
        string[][] words = [.. texts.Select(Words)];
        (string Name, int Length)[] found =
        [
            .. profile
                .Bands.Select(band =>
                    (band.Name, Length: words.Select(text => LengthIn(text, band.Name)).DefaultIfEmpty(0).Max())
                )
                .Where(band => band.Length > 0),
        ];
        int longest = found.Length == 0 ? 0 : found.Max(band => band.Length);
        return found.Where(band => band.Length == longest).Select(band => band.Name).SingleOrNone();
    }

    /// <summary>How many letters of the band's name stand in the text as whole words in a row; 0 when it does not.</summary>
    private static int LengthIn(string[] text, string band)
    {
        string wanted = Plain(band);
        for (int first = 0; first < text.Length; first++)
        {
            string joined = "";
            for (int last = first; last < text.Length && joined.Length < wanted.Length; last++)
            {
                joined += Plain(text[last]);
                if (joined.Equals(wanted, StringComparison.OrdinalIgnoreCase))
                {
                    return wanted.Length;
                }
            }
        }

        return 0;
    }

    internal static string[] Words(string name) =>
        name.Split(['_', '-', '.', ' '], StringSplitOptions.RemoveEmptyEntries);

    private static bool Same(string band, string? other) =>
        other is not null && Plain(band).Equals(Plain(other), StringComparison.OrdinalIgnoreCase);

    private static string Plain(string text) => string.Concat(text.Where(char.IsLetterOrDigit));

    private static string? SingleOrNone(this IEnumerable<string> names)
    {
        string[] all = [.. names.Take(2)];
        return all.Length == 1 ? all[0] : null;
    }
}
