using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Reconstruction;
using Hillrow.Rehearsal;

namespace Hillrow.Validation.Reconstruction;

/// <summary>How far surface, crown tops and ground of one survey are off the truth.</summary>
/// <param name="Sample">Ground sample, metres.</param>
/// <param name="OpenGroundRms">Surface less truth where nothing stands within half a metre, metres.</param>
/// <param name="TopBiasShare">Mean of found less true plant height, over the mean true height.</param>
/// <param name="Tops">Plants behind it.</param>
/// <param name="Covered">Share of the plants whose true height lies in the stated 90 % interval.</param>
/// <param name="GroundSeenRms">Ground less truth where it is told as seen, metres.</param>
/// <param name="GroundUnseenRms">Where it is told as interpolated; NaN when there are no such cells.</param>
/// <param name="UnseenCells">Cells behind that.</param>
internal sealed record SurfaceMiss(
    double Sample,
    double OpenGroundRms,
    double TopBiasShare,
    int Tops,
    double Covered,
    double GroundSeenRms,
    double GroundUnseenRms,
    int UnseenCells
)
{
    private const double CrownShare = 0.6;
    private const double OpenMetres = 0.5;
    private const double StandsMetres = 0.1;

    public static SurfaceMiss Of(RehearsedSurvey survey, ReconstructionResult result)
    {
        TruthMargin truth = new(survey);
        double open = 0;
        int openCells = 0;
        double seen = 0;
        int seenCells = 0;
        double unseen = 0;
        int unseenCells = 0;
        Raster<float> surface = result.Surface!;
        for (int row = 0; row < surface.Rows; row += 2)
        {
            for (int column = 0; column < surface.Columns; column += 2)
            {
                float top = surface[0, row, column];
                GridPoint at = surface.Grid.CentreOf(row, column);
                if (float.IsNaN(top) || !truth.IsJudged(at, OpenMetres))
                {
                    continue;
                }

                double below = result.Ground![0, row, column] - truth.Ground(at);
                bool told = result.GroundSeen![0, row, column] != 0;
                seen += told ? below * below : 0;
                seenCells += told ? 1 : 0;
                unseen += told ? 0 : below * below;
                unseenCells += told ? 0 : 1;
                if (truth.TallestOver(at, OpenMetres) < StandsMetres)
                {
                    open += Math.Pow(top - truth.Surface(at), 2);
                    openCells++;
                }
            }
        }

        List<(double Found, double Real, double Sigma)> tops = [];
        foreach (PlantTruth plant in survey.Plants)
        {
            GridPoint at = new(plant.EastingMetres, plant.NorthingMetres);
            double reach = Math.Max(0.25, CrownShare * Math.Sqrt(plant.CrownAreaSquareMetres / Math.PI));
            if (
                !plant.IsDead
                && truth.IsJudged(at, 1.5)
                && truth.TallestOver(at, reach) < plant.HeightMetres + 0.25
                && TopOf(result, at, reach) is { } found
            )
            {
                tops.Add((found.Height, plant.HeightMetres, found.Sigma));
            }
        }

        return new SurfaceMiss(
            result.Figures.GroundSampleMetres,
            Math.Sqrt(open / openCells),
            tops.Average(top => top.Found - top.Real) / tops.Average(top => top.Real),
            tops.Count,
            tops.Count(top => Math.Abs(top.Found - top.Real) <= 1.645 * top.Sigma) / (double)tops.Count,
            Math.Sqrt(seen / seenCells),
            unseenCells > 0 ? Math.Sqrt(unseen / unseenCells) : double.NaN,
            unseenCells
        );
    }

    private static (double Height, double Sigma)? TopOf(ReconstructionResult result, GridPoint at, double reach)
    {
        Raster<float> canopy = result.CanopyHeight!;
        double cell = canopy.Grid.CellSizeMetres;
        int middleRow = (int)canopy.Grid.RowOf(at.NorthingMetres);
        int middleColumn = (int)canopy.Grid.ColumnOf(at.EastingMetres);
        int cells = (int)Math.Ceiling(reach / cell);
        double best = double.NegativeInfinity;
        double sigmas = 0;
        int count = 0;
        for (int row = middleRow - cells; row <= middleRow + cells; row++)
        {
            for (int column = middleColumn - cells; column <= middleColumn + cells; column++)
            {
                if (row < 1 || column < 1 || row >= canopy.Rows - 1 || column >= canopy.Columns - 1)
                {
                    return null;
                }

                GridPoint place = canopy.Grid.CentreOf(row, column);
                double east = place.EastingMetres - at.EastingMetres;
                double north = place.NorthingMetres - at.NorthingMetres;
                if ((east * east) + (north * north) > reach * reach)
                {
                    continue;
                }

                double sum = 0;
                for (int r = -1; r <= 1; r++)
                {
                    for (int c = -1; c <= 1; c++)
                    {
                        sum += canopy[0, row + r, column + c] / 9;
                    }
                }

                best = Math.Max(best, sum);
                sigmas += result.CanopySigma![0, row, column];
                count++;
            }
        }

        return double.IsFinite(best) && double.IsFinite(sigmas) ? (best, sigmas / count) : null;
    }
}
