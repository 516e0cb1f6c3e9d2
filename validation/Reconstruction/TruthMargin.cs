using Hillrow.Earth;
using Hillrow.Rehearsal;

namespace Hillrow.Validation.Reconstruction;

/// <summary>True heights of a rehearsed survey at places of the map.</summary>
internal sealed class TruthMargin(RehearsedSurvey survey)
{
    private readonly ScoredMap heights = survey.Heights;
    private readonly int surface = survey.Heights.IndexOf("surface");
    private readonly int ground = survey.Heights.IndexOf("ground");
    private readonly FlightTruth flight = survey.Truth;

    /// <summary>Inside what the plan covers twice or better, by at least a margin.</summary>
    public bool IsJudged(GridPoint at, double marginMetres) =>
        at.EastingMetres > flight.SurveyedWestMetres + marginMetres
        && at.EastingMetres < flight.SurveyedEastMetres - marginMetres
        && at.NorthingMetres > flight.SurveyedSouthMetres + marginMetres
        && at.NorthingMetres < flight.SurveyedNorthMetres - marginMetres
        && !float.IsNaN(heights.At(ground, at.EastingMetres, at.NorthingMetres))
        && TallestOver(at, marginMetres) > double.NegativeInfinity;

    public double Surface(GridPoint at) => heights.At(surface, at.EastingMetres, at.NorthingMetres);

    public double Ground(GridPoint at) => heights.At(ground, at.EastingMetres, at.NorthingMetres);

    /// <summary>Highest thing within a square of ± reach, over the ground at the place; −∞ outside the truth.</summary>
    public double TallestOver(GridPoint at, double reachMetres)
    {
        int row = (int)Math.Floor(heights.Grid.RowOf(at.NorthingMetres));
        int column = (int)Math.Floor(heights.Grid.ColumnOf(at.EastingMetres));
        int reach = (int)Math.Ceiling(reachMetres / heights.Grid.CellSizeMetres);
        if (row < reach || column < reach || row >= heights.Grid.Rows - reach || column >= heights.Grid.Columns - reach)
        {
            return double.NegativeInfinity;
        }

        ReadOnlySpan<float> tops = heights.Band(surface);
        ReadOnlySpan<float> below = heights.Band(ground);
        double tallest = 0;
        for (int r = row - reach; r <= row + reach; r++)
        {
            for (int c = column - reach; c <= column + reach; c++)
            {
                int cell = (r * heights.Grid.Columns) + c;
                tallest = Math.Max(tallest, tops[cell] - below[cell]);
            }
        }

        return tallest;
    }
}
