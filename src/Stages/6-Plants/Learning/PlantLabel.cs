using Hillrow.Earth;

namespace Hillrow.Plants;

/// <summary>What a person says of one place of a survey.</summary>
/// <param name="Place">In the reference system of the maps.</param>
/// <param name="IsPlant">A plant of the crop stands there, thin or healthy; false: a weed, a stone, nothing.</param>
/// <param name="Binding">True: that place is as the person says. False: it only teaches; another step puts the place right.</param>
public sealed record PlantLabel(GridPoint Place, bool IsPlant, bool Binding);

/// <summary>What a block learnt from the labels of a person, tried square by square on labels left out.</summary>
/// <param name="Labels">Labels that lie on a position of the block.</param>
/// <param name="Squares">Places that were left out in turn; 0: not tried.</param>
/// <param name="WrongWithout">Labelled positions that are wrong without learning.</param>
/// <param name="WrongWith">Labelled positions that are wrong with what the other squares taught.</param>
/// <param name="Chance">Chance of so many put right by tosses of a coin.</param>
/// <param name="ExpectedGain">Positions of the whole block put right less those spoilt, as the labels let expect.</param>
/// <param name="Changed">Positions without a label that were judged anew; 0 when nothing is used.</param>
public sealed record LabelTrial(
    int Labels,
    int Squares,
    int WrongWithout,
    int WrongWith,
    double Chance,
    double ExpectedGain,
    int Changed
)
{
    /// <summary>A gain that is chance once in twenty is none.</summary>
    public const double MostChance = 0.05;

    /// <summary>Only then is anything used.</summary>
    public bool Kept => Squares > 0 && WrongWith < WrongWithout && Chance <= MostChance && ExpectedGain > 0;

    /// <summary>For the person who gave the labels.</summary>
    public string Told =>
        Squares == 0
            ? $"{Labels} labels are too few, or too near to each other, to learn from: label {LabelLearning.LeastOfAKind} of a kind, right ones too, in several parts of the block."
            : FormattableString.Invariant(
                $"{Labels} labels, {WrongWithout} of them wrong without learning and {WrongWith} with what other parts of the block taught ({Squares} squares left out in turn, chance {Chance:F3}, {ExpectedGain:+0;-0} positions expected in the block): {(Kept ? $"used, {Changed} positions judged anew" : "not used")}."
            );
}
