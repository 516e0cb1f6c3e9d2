using Hillrow.Imaging;

namespace Hillrow.Intake;

/// <summary>What intake works on.</summary>
/// <param name="RootFolder">Files of frames are told relative to it; usually the card folder itself.</param>
/// <param name="CardFolders">Searched with all folders below; several for a survey split over cards.</param>
/// <param name="Profile">Of the camera that took the captures.</param>
public sealed record IntakeInput(string RootFolder, IReadOnlyList<string> CardFolders, CameraProfile Profile)
{
    /// <summary>Files that were read on their way from the card, by their name relative to the root; they are not read again.</summary>
    public IReadOnlyDictionary<string, CardFileReading>? Readings { get; init; }

    public static IntakeInput OfFolder(string cardFolder, CameraProfile profile) =>
        new(cardFolder, [cardFolder], profile);
}
