using System.Reflection;
using Xunit;

namespace Hillrow.Architecture.Tests;

/// <summary>The arrows of docs/architecture.md, read off the built assemblies.</summary>
public sealed class ArrowTests
{
    private static readonly string[] Stages =
    [
        "Hillrow.Planning",
        "Hillrow.Intake",
        "Hillrow.Radiometry",
        "Hillrow.Reconstruction",
        "Hillrow.Mapping",
        "Hillrow.Plants",
        "Hillrow.Findings",
        "Hillrow.Handover",
    ];

    private static readonly string[] Foundation =
    [
        "Hillrow.Numerics",
        "Hillrow.Earth",
        "Hillrow.Imaging",
        "Hillrow.Sight",
        "Hillrow.Sheets",
    ];

    /// <summary>What each room may know; a room that is not listed may know nothing of ours.</summary>
    private static readonly Dictionary<string, string[]> Allowed = BuildAllowed();

    public static TheoryData<string> Rooms => [.. Allowed.Keys];

    [Theory]
    [MemberData(nameof(Rooms))]
    public void Room_ReferencesOnlyRoomsBelowIt(string room)
    {
        string[] known = [.. Assembly.Load(room).GetReferencedAssemblies().Select(name => name.Name!).Where(IsOurs)];
        Assert.Empty(known.Except(Allowed[room]));
    }

    [Theory]
    [MemberData(nameof(Rooms))]
    public void Room_OtherThanImaging_DoesNotKnowThePictureLibrary(string room) =>
        Assert.Equal(room == "Hillrow.Imaging" && UsesPictureLibrary(room), UsesPictureLibrary(room));

    [Theory]
    [MemberData(nameof(Rooms))]
    public void Room_OtherThanEstate_DoesNotKnowTheDatabase(string room)
    {
        bool knows = Assembly
            .Load(room)
            .GetReferencedAssemblies()
            .Any(name => name.Name!.StartsWith("Microsoft.Data.Sqlite", StringComparison.Ordinal));
        Assert.True(!knows || room == "Hillrow.Estate", $"{room} uses SQLite; only the room Estate may.");
    }

    private static bool UsesPictureLibrary(string room) =>
        Assembly
            .Load(room)
            .GetReferencedAssemblies()
            .Any(name => name.Name!.StartsWith("OpenCvSharp", StringComparison.Ordinal));

    private static bool IsOurs(string name) =>
        name.StartsWith("Hillrow.", StringComparison.Ordinal) || name == "hillrow-app";

    private static Dictionary<string, string[]> BuildAllowed()
    {
        Dictionary<string, string[]> allowed = new()
        {
            ["Hillrow.Numerics"] = [],
            ["Hillrow.Earth"] = ["Hillrow.Numerics"],
            ["Hillrow.Imaging"] = ["Hillrow.Numerics", "Hillrow.Earth"],
            ["Hillrow.Sight"] = ["Hillrow.Numerics", "Hillrow.Earth", "Hillrow.Imaging"],
            ["Hillrow.Sheets"] = [],
            // The rehearsal may not borrow from a stage, nor from Sight, what it is meant to judge.
            ["Hillrow.Rehearsal"] = ["Hillrow.Numerics", "Hillrow.Earth", "Hillrow.Imaging"],
            ["Hillrow.Estate"] = [.. Foundation, .. Stages, "Hillrow.Rehearsal"],
            ["hillrow-app"] = [.. Foundation, .. Stages, "Hillrow.Rehearsal", "Hillrow.Estate"],
        };
        foreach (string stage in Stages)
        {
            allowed[stage] = Foundation;
        }

        return allowed;
    }
}
