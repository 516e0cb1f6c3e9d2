using Hillrow.Earth;

namespace Hillrow.Estate.Tests;

/// <summary>An invented estate in a folder of its own, removed afterwards.</summary>
public sealed class ScratchEstate : IDisposable
{
    public ScratchEstate()
    {
        Folder = Directory.CreateTempSubdirectory("hillrow-estate-").FullName;
        Estate = EstateFolder.Create(
            Path.Combine(Folder, "estate"),
            EstateSettings.Plain("Vale of the Test", ReferenceSystem.Utm(18, north: false), Language.English)
        );
    }

    /// <summary>Holds the estate; free for files beside it.</summary>
    public string Folder { get; }

    public EstateFolder Estate { get; }

    public string File(string name, string text)
    {
        string path = Path.Combine(Folder, name);
        System.IO.File.WriteAllText(path, text);
        return path;
    }

    public void Dispose() => Directory.Delete(Folder, recursive: true);
}
