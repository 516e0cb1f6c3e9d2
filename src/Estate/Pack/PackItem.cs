using System.Text.Json.Serialization;

namespace Hillrow.Estate;

/// <summary>How it stands with one thing that a flying day needs.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<PackState>))]
public enum PackState
{
    /// <summary>There, and fit for use.</summary>
    Ready,

    /// <summary>The day goes without it, or it should be looked at.</summary>
    Caution,

    /// <summary>The day fails without it.</summary>
    Missing,
}

/// <summary>One thing that must be on this laptop before departure.</summary>
/// <param name="State">How it stands.</param>
/// <param name="Subject">Stable lower-case word: blocks, terrain, surroundings, camera, panel, aircraft, geoid, plan, batteries, disk.</param>
/// <param name="Told">What was found, one line.</param>
/// <param name="Remedy">How to mend it; empty when ready.</param>
public sealed record PackItem(PackState State, string Subject, string Told, string Remedy = "");

/// <summary>What a person says of the day.</summary>
public sealed record PackWishes
{
    /// <summary>Plan of the day; null takes the one for the day, else the newest.</summary>
    public string? Plan { get; init; }

    /// <summary>Day of departure.</summary>
    public required DateOnly Day { get; init; }

    /// <summary>Charged batteries at hand; null: not said.</summary>
    public int? Batteries { get; init; }

    /// <summary>Bytes free for a folder's disk; null asks the machine.</summary>
    public Func<string, long>? FreeBytes { get; init; }
}

/// <summary>Whether everything for the day's flights is on this laptop.</summary>
public sealed record PackReport
{
    public required IReadOnlyList<PackItem> Items { get; init; }

    /// <summary>Name of the plan that was looked at; null without any.</summary>
    public string? Plan { get; init; }

    public int Sorties { get; init; }

    public int Captures { get; init; }

    /// <summary>For captures, their copies and what a run makes of them, with what is to be left free; 0 without a plan.</summary>
    public long BytesNeeded { get; init; }

    public long BytesFree { get; init; }

    /// <summary>Nothing is missing.</summary>
    public bool Ready => Items.All(item => item.State != PackState.Missing);
}
