using System.Globalization;
using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Intake;

/// <summary>What the proposals share: the sample, the answers given, and what has been found so far.</summary>
internal sealed class LearningDesk(
    LearningSample sample,
    IReadOnlyList<Channel> channels,
    FrameStructure structure,
    LearningAnswers answers
)
{
    public LearningSample Sample { get; } = sample;

    public IReadOnlyList<Channel> Channels { get; } = channels;

    public FrameStructure Structure { get; } = structure;

    public LearningAnswers Answers { get; } = answers;

    public Dictionary<FrameQuantity, IReadOnlyList<ValueRule>> Rules { get; } = [];

    public List<TimeRule> Time { get; } = [];

    public List<TimeRule> SatelliteTime { get; } = [];

    public VerticalReference HeightReference { get; set; }

    public List<LearnedQuantity> Quantities { get; } = [];

    public List<LearningDoubt> Doubts { get; } = [];

    /// <summary>Evaluates rules on the first frame of each trigger.</summary>
    public FrameMetadata[] PerCapture(MetadataMap map)
    {
        FrameMetadata?[] read = new FrameMetadata?[Structure.Captures];
        for (int frame = 0; frame < Sample.Frames.Count; frame++)
        {
            read[Structure.CaptureOf[frame]] ??= map.Evaluate(Sample.Frames[frame].Bag, Sample.Frames[frame].Path);
        }

        return [.. read.Select(one => one ?? new FrameMetadata())];
    }

    public bool Has(PropertyKey key) => Sample.Frames.Any(frame => frame.Bag.Find(key) is not null);

    public void Doubt(string about, string what, string answer)
    {
        if (!Answers.Settles(about))
        {
            Doubts.Add(new LearningDoubt(about, what, answer));
        }
    }

    /// <summary>Writes a proposal down; a null doubt means sure.</summary>
    public void Propose(FrameQuantity quantity, string place, ValueRule rule, string why, string? doubt)
    {
        string name = Word(quantity);
        if (Answers.Find($"{name}.unit") is { } unit)
        {
            rule = rule with { Unit = CheckedUnit(quantity, unit) };
        }

        if (Answers.Number($"{name}.offset") is { } offset)
        {
            rule = rule with { Offset = offset };
        }

        if (Answers.Number($"{name}.scale") is { } scale)
        {
            rule = rule with { Scale = scale };
        }

        Rules[quantity] = [rule];
        bool answered = Answers.Settles(name);
        if (doubt is not null)
        {
            Doubt(name, doubt, AnswerFor(quantity));
        }

        Quantities.Add(
            new LearnedQuantity(
                name,
                place,
                rule.Unit.Length > 0 ? rule.Unit
                    : FrameQuantities.KindOf(quantity) is QuantityKind.Text or QuantityKind.PlainNumber ? ""
                    : FrameQuantities.UsualUnitOf(quantity),
                why,
                answered ? Certainty.Answered
                    : doubt is null ? Certainty.Sure
                    : Certainty.Doubtful
            )
        );
    }

    public static string Word(FrameQuantity quantity)
    {
        string name = quantity.ToString();
        return char.ToLowerInvariant(name[0]) + name[1..];
    }

    public static string AnswerFor(FrameQuantity quantity)
    {
        string name = Word(quantity);
        string units = string.Join('|', MetadataUnit.WordsOf(FrameQuantities.KindOf(quantity)).Distinct());
        return units is "1" or "" ? $"{name}=yes|none|PLACE" : $"{name}=yes|none|PLACE or {name}.unit={units}";
    }

    private static string CheckedUnit(FrameQuantity quantity, string unit)
    {
        QuantityKind kind = FrameQuantities.KindOf(quantity);
        return MetadataUnit.Find(kind, unit)?.Word
            ?? throw new InputProblemException(
                $"--answer {Word(quantity)}.unit={unit}",
                "is no unit of that quantity.",
                $"There are: {string.Join(", ", MetadataUnit.WordsOf(kind).Distinct())}."
            );
    }

    public static string Text(double value) => value.ToString("G6", CultureInfo.InvariantCulture);
}
