using System.Text.Json.Serialization;
using Hillrow.Imaging;

namespace Hillrow.Intake;

/// <summary>How far a proposal may be trusted.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<Certainty>))]
public enum Certainty
{
    /// <summary>Names, values and the way they vary agree.</summary>
    Sure,

    /// <summary>Likely; the doubt says what speaks against it and how to answer.</summary>
    Doubtful,

    /// <summary>Said by the user.</summary>
    Answered,
}

/// <summary>One property of the files: where it stands, an example, how it varies.</summary>
/// <param name="Place">As in messages and answers: "xmp Name/Path", "exif 33434", "file name", "folder".</param>
/// <param name="Example">Of the first frame that has it.</param>
/// <param name="Frames">Frames that have it.</param>
/// <param name="Distinct">Different values.</param>
/// <param name="Varies">constant, by band, by capture, by frame.</param>
public sealed record LearnedProperty(string Place, string Example, int Frames, int Distinct, string Varies);

/// <summary>Where a quantity is proposed to stand.</summary>
/// <param name="Quantity">As in the metadata map.</param>
/// <param name="Place">Of the property.</param>
/// <param name="Unit">As in the metadata map; empty where there is none.</param>
/// <param name="Why">One line.</param>
/// <param name="Certainty">How far to trust it.</param>
public sealed record LearnedQuantity(string Quantity, string Place, string Unit, string Why, Certainty Certainty);

/// <summary>Something that the files do not settle.</summary>
/// <param name="About">Quantity or setting.</param>
/// <param name="What">Speaks against it, with values.</param>
/// <param name="Answer">What to give to --answer.</param>
public sealed record LearningDoubt(string About, string What, string Answer);

/// <summary>What came out when the folder was read with the learned profile.</summary>
/// <param name="Captures">Made by intake.</param>
/// <param name="Complete">Of them with every band.</param>
/// <param name="Verdict">Intake's.</param>
/// <param name="Notes">Its graver notes, at most eight.</param>
public sealed record LearningCheck(int Captures, int Complete, string Verdict, IReadOnlyList<string> Notes);

/// <summary>What was learned of a camera from a folder of its files.</summary>
public sealed record LearnedCamera
{
    public required CameraProfile Profile { get; init; }

    public required int Files { get; init; }

    public required IReadOnlyList<LearnedProperty> Properties { get; init; }

    public required IReadOnlyList<LearnedQuantity> Quantities { get; init; }

    public required IReadOnlyList<LearningDoubt> Doubts { get; init; }

    public required LearningCheck Check { get; init; }
}
