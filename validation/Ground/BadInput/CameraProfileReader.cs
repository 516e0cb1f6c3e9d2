using System.Text;
using Hillrow.Imaging;
using Hillrow.TestSupport;

namespace Hillrow.Validation.Ground;

/// <summary>Camera profiles, the example of the docs first.</summary>
public sealed class CameraProfileReader : ReaderUnderMutation
{
    public override string Name => "camera profiles";

    /// <summary>Cut at the end of a section, a profile is a whole profile of fewer bands.</summary>
    public override bool RefusesHalf => false;

    public override IReadOnlyList<SampleFile> Seeds()
    {
        string page = File.ReadAllText(Path.Combine(RepositoryFiles.Root, "docs", "camera-profiles.md"));
        int start = page.IndexOf("```toml\n", StringComparison.Ordinal) + 8;
        string example = page[start..page.IndexOf("```", start, StringComparison.Ordinal)];
        string written = CameraProfile.Parse(example, "example").ToToml();
        return [Text("example.toml", example), Text("written.toml", written)];
    }

    public override IReadOnlyList<SampleFile> BadFiles() =>
        [
            Text("deep.toml", "a = " + new string('[', 500_000)),
            Text("braces.toml", "a = " + string.Concat(Enumerable.Repeat("{a=", 100_000))),
            Text("many.toml", string.Concat(Enumerable.Range(0, 20_000).Select(n => $"k{n} = {n}\n"))),
            Text("dotted.toml", string.Join('.', Enumerable.Repeat("a", 50_000)) + " = 1"),
            new SampleFile("not-text.toml", [0xFF, 0xFE, 0x00, 0xD8, 0x80, 0x81]),
        ];

    public override void Read(byte[] bytes, string path) => CameraProfile.Parse(Encoding.UTF8.GetString(bytes), path);

    private static SampleFile Text(string name, string text) => new(name, Encoding.UTF8.GetBytes(text));
}
