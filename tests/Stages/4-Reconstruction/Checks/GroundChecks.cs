using System.Globalization;
using Hillrow.Reconstruction;
using Hillrow.TestSupport;

namespace Hillrow.Checks;

/// <summary>The ground found in the scenes of tests/Reference/height-models, against their true ground.</summary>
public static class GroundChecks
{
    public static CheckTally Scenes()
    {
        CheckTally tally = new();
        foreach (CheckCase check in CheckBook.Open("height-models", "scenes.json").Cases)
        {
            float[] surface = Read(check.In.GetProperty("dsm").GetString()!, out int rows, out int columns);
            float[] truth = Read($"{check.Id}_dtm_true.csv", out _, out _);
            double cell = check.In.GetProperty("dsm_cell_m").GetDouble();
            (float[] ground, _) = GroundSurface.Below(surface, default, rows, columns, cell, 2);
            double sum = 0;
            double squares = 0;
            int count = 0;
            int rim = (int)Math.Round(1 / cell);
            for (int row = rim; row < rows - rim; row++)
            {
                for (int column = rim; column < columns - rim; column++)
                {
                    double off = ground[(row * columns) + column] - truth[(row * columns) + column];
                    sum += off;
                    squares += off * off;
                    count++;
                }
            }

            // Bounds, not values: 0 within the bound.
            double rms = Math.Sqrt(squares / count);
            tally.Compare(check.Id, "rms", rms, 0, check.Out.GetProperty("dtm_rmse_bound_m").GetDouble());
            tally.Compare(check.Id, "bias", sum / count, 0, check.Out.GetProperty("dtm_bias_bound_m").GetDouble());
        }

        return tally;
    }

    private static float[] Read(string file, out int rows, out int columns)
    {
        string[] lines = File.ReadAllLines(RepositoryFiles.Reference("height-models", file));
        rows = lines.Length;
        float[][] values =
        [
            .. lines.Select(line =>
                line.Split(',').Select(text => float.Parse(text, CultureInfo.InvariantCulture)).ToArray()
            ),
        ];
        columns = values[0].Length;
        return [.. values.SelectMany(line => line)];
    }
}
