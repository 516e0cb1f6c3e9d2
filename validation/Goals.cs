using Tomlyn;
using Tomlyn.Model;

namespace Hillrow.Validation;

/// <summary>The goals of every area, copied word for word from the issues that set them.</summary>
public sealed class Goals
{
    private readonly TomlTable areas;

    private Goals(TomlTable areas) => this.areas = areas;

    public IEnumerable<string> Areas => areas.Keys;

    public static Goals Read(string path) =>
        new(
            TomlSerializer.Deserialize<TomlTable>(File.ReadAllText(path))
                ?? throw new InvalidDataException($"{path} is empty.")
        );

    /// <summary>Every figure that the area promises, with its goal.</summary>
    public IReadOnlyDictionary<string, Goal> Of(string area) =>
        areas.TryGetValue(area, out object? found) && found is TomlTable table
            ? table.ToDictionary(entry => entry.Key, entry => new Goal((string)entry.Value))
            : throw new ArgumentException(
                $"No area \"{area}\". There are: {string.Join(", ", areas.Keys)}.",
                nameof(area)
            );
}
